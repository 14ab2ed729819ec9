//! Finds as Linked Art (the profile of CIDOC CRM as JSON-LD, API 1.0): an object each.

use super::lido::{Size, body_of, description, inscriptions, sizes, title, years_of};
use super::recorded;
use super::terms::{self, Term};
use crate::daybook::Find;
use crate::daybook::condition::ConditionRules;
use crate::key::{Dimension, Key, Unit, Years};
use serde_json::{Value, json};
use std::io::{self, Write};

/// The base of the ids is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' can't begin the ids of finds (write an address you keep, such as https://example.org/find/)")]
pub struct BaseError(pub String);

const AAT: &str = "http://vocab.getty.edu/aat/";

/// Writes finds as Linked Art, as a list of objects. Their ids are `base` and the find's id: Linked Art wants ids that are addresses.
///
/// # Errors
/// [`BaseError`] where the base is no HTTP address; within, those of the writer.
pub fn write_linked_art(
    key: &Key,
    finds: &[Find],
    rules: &ConditionRules,
    base: &str,
    out: &mut dyn Write,
) -> Result<io::Result<()>, BaseError> {
    let host = base.strip_prefix("https://").or_else(|| base.strip_prefix("http://")).unwrap_or_default();
    if !host.starts_with(|c: char| c.is_ascii_alphanumeric())
        || base.contains(|c: char| c.is_whitespace() || c.is_control() || "<>\"{}|\\^`".contains(c))
    {
        return Err(BaseError(base.to_owned()));
    }
    let base = if base.ends_with(['/', '#', '=', ':']) { base.to_owned() } else { format!("{base}/") };
    let objects: Vec<Value> = finds.iter().map(|find| object(key, find, rules, &base)).collect();
    Ok(super::json(&objects, out))
}

fn concept(aat: u32, label: &str) -> Value {
    json!({ "id": format!("{AAT}{aat}"), "type": "Type", "_label": label })
}

fn term(term: &Term) -> Value {
    json!({ "id": term.uri(), "type": "Type", "_label": term.label })
}

/// A text of a kind, whose kind is a statement (brief text 300418049).
fn statement(content: &str, aat: u32, label: &str) -> Value {
    let mut kind = concept(aat, label);
    if let Some(kind) = kind.as_object_mut() {
        kind.insert("classified_as".to_owned(), json!([concept(300_418_049, "Brief Text")]));
    }
    json!({ "type": "LinguisticObject", "classified_as": [kind], "content": content })
}

fn object(key: &Key, find: &Find, rules: &ConditionRules, base: &str) -> Value {
    let name = title(find);
    let mut object = json!({
        "@context": "https://linked.art/ns/v1/linked-art.json",
        "id": format!("{base}{}", find.id),
        "type": "HumanMadeObject",
        "_label": name,
        "identified_by": [
            { "type": "Name", "content": name, "classified_as": [concept(300_404_670, "Primary Name")] },
            { "type": "Identifier", "content": find.id.to_string(), "classified_as": [concept(300_404_621, "Local Number")] },
        ],
    });
    let Some(fields) = object.as_object_mut() else { return object };
    let mut put = |field: &str, value: Value| fields.insert(field.to_owned(), value);
    if let Some(found) = terms::of_form(find.named.as_ref().map_or("", |named| named.form_name.as_str())) {
        let mut kind = term(found);
        if let Some(kind) = kind.as_object_mut() {
            kind.insert("classified_as".to_owned(), json!([concept(300_435_443, "Type of Work")]));
        }
        put("classified_as", json!([kind]));
    }
    let mut says = Vec::new();
    let described = description(key, find);
    if !described.is_empty() {
        says.push(statement(&described, 300_435_416, "Description"));
    }
    says.extend(recorded::statements(find, rules).into_iter().map(|(kind, text)| statement(&text, kind.aat(), kind.label())));
    says.extend(inscriptions(key, find).iter().map(|text| statement(text, 300_435_414, "Inscription Statement")));
    if !says.is_empty() {
        put("referred_to_by", Value::Array(says));
    }
    let sizes: Vec<Value> = sizes(key, find).iter().filter_map(dimension).collect();
    if !sizes.is_empty() {
        put("dimension", Value::Array(sizes));
    }
    if let Some(body) = body_of(key, find) {
        put("made_of", json!([{ "id": body.uri(), "type": "Material", "_label": body.label }]));
    }
    let years = years_of(key, find);
    if !years.is_open() {
        put("produced_by", json!({ "type": "Production", "timespan": timespan(years) }));
    }
    object
}

/// A measure whose unit and kind have numbers: lengths in mm, weight in g.
fn dimension(size: &Size) -> Option<Value> {
    let (unit, unit_label) = match size.unit {
        Unit::Mm => (300_379_097, "millimeters"),
        Unit::G => (300_379_225, "grams"),
        Unit::Ml | Unit::Count => return None,
    };
    let (kind, label) = match (size.unit, size.of) {
        (Unit::G, _) => (300_056_240, "Weight"),
        (_, Some(Dimension::BodyHeight | Dimension::HeightWithLid)) => (300_055_644, "Height"),
        (_, Some(Dimension::Width)) => (300_055_647, "Width"),
        (_, Some(_)) => (300_055_624, "Diameter"),
        (_, None) => return None,
    };
    Some(json!({
        "type": "Dimension",
        "_label": size.name,
        "value": size.value,
        "unit": { "id": format!("{AAT}{unit}"), "type": "MeasurementUnit", "_label": unit_label },
        "classified_as": [concept(kind, label)],
    }))
}

fn timespan(years: Years) -> Value {
    let mut span = json!({ "type": "TimeSpan" });
    if let Some(fields) = span.as_object_mut() {
        if let Some(from) = years.from {
            fields.insert("begin_of_the_begin".to_owned(), json!(format!("{from:04}-01-01T00:00:00Z")));
        }
        if let Some(to) = years.to {
            fields.insert("end_of_the_end".to_owned(), json!(format!("{to:04}-12-31T23:59:59Z")));
        }
    }
    span
}
