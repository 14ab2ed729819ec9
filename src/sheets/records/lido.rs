//! Finds as LIDO 1.1 (ICOM CIDOC, 20 December 2021): a record each, with the elements the schema asks for and what the find says besides.
//!
//! What the standard has no place for that this program could try against its schema (condition, prices, the box) is told in the description.
//! Where no vocabulary id is known a term stands alone. Of years both are given as a date, one alone in words.

use super::recorded;
use super::seen::seen_words;
use super::terms;
use super::xml::Xml;
use crate::daybook::Find;
use crate::daybook::condition::ConditionRules;
use crate::identify::Seen;
use crate::key::{FeatureKind, Form, Key, Unit, Years, capital};

const LOCAL: &str = "http://terminology.lido-schema.org/lido00100";
const URI: &str = "http://terminology.lido-schema.org/lido00099";
const PREFERRED: &str = "http://terminology.lido-schema.org/lido00169";
const PRODUCTION: &str = "http://terminology.lido-schema.org/lido00007";

/// Writes finds as LIDO. `source` is who keeps the records: it is asked for by the standard.
pub fn write_lido(key: &Key, finds: &[Find], rules: &ConditionRules, source: &str) -> String {
    let mut xml = Xml::new();
    xml.within("lido:lidoWrap", &[("xmlns:lido", "http://www.lido-schema.org")], |xml| {
        for find in finds {
            xml.within("lido:lido", &[], |xml| record(xml, key, find, rules, source));
        }
    });
    xml.end()
}

/// What a find is called: its form with the line, or how far the naming came.
pub(super) fn title(find: &Find) -> String {
    match &find.named {
        Some(named) if named.line_name.is_empty() => capital(&named.form_name),
        Some(named) => format!("{}, {}", capital(&named.form_name), named.line_name),
        None => format!("Piece of tableware, {}", find.standing.words()),
    }
}

/// A measurement of a find with what it is of.
pub(super) struct Size {
    pub(super) name: String,
    pub(super) unit: Unit,
    pub(super) value: f64,
    pub(super) of: Option<crate::key::Dimension>,
}

/// What was measured, in the order it was said.
pub(super) fn sizes(key: &Key, find: &Find) -> Vec<Size> {
    let measured = find.piece.observations.iter().filter_map(|seen| {
        let feature = key.feature(&seen.feature)?;
        match (&feature.kind, &seen.seen) {
            (FeatureKind::Measure(kind), Seen::Measured(measured)) => {
                Some(Size { name: feature.shown_name(), unit: kind.unit, value: measured.value, of: kind.of })
            }
            _ => None,
        }
    });
    measured.filter(|size| size.value.is_finite()).collect()
}

/// What can be read on a find.
pub(super) fn inscriptions(key: &Key, find: &Find) -> Vec<String> {
    let mut read = Vec::new();
    for seen in &find.piece.observations {
        match &seen.seen {
            Seen::Wording(text) => read.push(text.clone()),
            Seen::Mark(mark) => read.push(mark.wording.clone()),
            Seen::Values(values) if key.feature(&seen.feature).is_some_and(|feature| feature.kind == FeatureKind::Mark) => {
                if let [only] = values.as_slice()
                    && let Some(mark) = key.marks.iter().find(|mark| mark.id.as_str() == only.as_str())
                {
                    read.push(mark.wording.iter().map(|line| line.text.as_str()).collect::<Vec<_>>().join(" / "));
                }
            }
            _ => {}
        }
    }
    read.retain(|text| !text.is_empty());
    read
}

/// The form a find was taken for, where the key has it.
pub(super) fn form_of<'k>(key: &'k Key, find: &Find) -> Option<&'k Form> {
    key.form(&find.named.as_ref()?.form)
}

/// When a find was made: by its own record, else as its form was.
pub(super) fn years_of(key: &Key, find: &Find) -> Years {
    let own = find.record.made;
    if own.is_open() {
        return form_of(key, find).map(|form| form.made).unwrap_or_default();
    }
    Years { from: own.from.map(i32::from), to: own.to.map(i32::from) }
}

/// The body the key says the line is of, as a term.
pub(super) fn body_of(key: &Key, find: &Find) -> Option<&'static terms::Term> {
    let line = key.line(&form_of(key, find)?.line)?;
    terms::of_body(&line.note).or_else(|| line.claims.iter().find_map(|claim| terms::of_body(&claim.says)))
}

/// Everything said of a find that has no place of its own, in sentences.
pub(super) fn description(key: &Key, find: &Find) -> String {
    let mut says: Vec<String> = [find.verdict.clone(), find.note.clone()].into_iter().filter(|text| !text.is_empty()).collect();
    let seen: Vec<String> =
        find.piece.observations.iter().map(|seen| format!("{}: {}", key.feature_name(&seen.feature), seen_words(key, seen))).collect();
    if !seen.is_empty() {
        says.push(format!("Seen: {}", seen.join("; ")));
    }
    if !find.piece.missing.is_empty() {
        let parts: Vec<&str> = find.piece.missing.iter().map(|part| part.word()).collect();
        says.push(format!("Missing: {}", parts.join(", ")));
    }
    says.join("\n")
}

fn record(xml: &mut Xml, key: &Key, find: &Find, rules: &ConditionRules, source: &str) {
    let id = find.id.to_string();
    xml.words("lido:lidoRecID", &[("lido:type", LOCAL)], &id);
    xml.within("lido:descriptiveMetadata", &[("xml:lang", "en")], |xml| {
        xml.within("lido:objectClassificationWrap", &[], |xml| {
            xml.within("lido:objectWorkTypeWrap", &[], |xml| xml.within("lido:objectWorkType", &[], |xml| work_type(xml, find)));
        });
        xml.within("lido:objectIdentificationWrap", &[], |xml| identification(xml, key, find, rules));
        let years = years_of(key, find);
        if !years.is_open() {
            xml.within("lido:eventWrap", &[], |xml| {
                xml.within("lido:eventSet", &[], |xml| xml.within("lido:event", &[], |xml| production(xml, years)));
            });
        }
    });
    xml.within("lido:administrativeMetadata", &[("xml:lang", "en")], |xml| {
        xml.within("lido:recordWrap", &[], |xml| {
            xml.words("lido:recordID", &[("lido:type", LOCAL)], &id);
            xml.within("lido:recordType", &[], |xml| xml.words("lido:term", &[], "single object"));
            xml.within("lido:recordSource", &[], |xml| {
                xml.within("lido:legalBodyName", &[], |xml| xml.words("lido:appellationValue", &[], source));
            });
        });
    });
}

fn work_type(xml: &mut Xml, find: &Find) {
    let name = find.named.as_ref().map_or("", |named| named.form_name.as_str());
    match terms::of_form(name) {
        Some(term) => {
            xml.words("lido:conceptID", &[("lido:type", URI)], &term.uri());
            xml.words("lido:term", &[], &term.label);
        }
        None => xml.words("lido:term", &[], "tableware"),
    }
}

fn identification(xml: &mut Xml, key: &Key, find: &Find, rules: &ConditionRules) {
    xml.within("lido:titleWrap", &[], |xml| {
        xml.within("lido:titleSet", &[], |xml| xml.words("lido:appellationValue", &[("lido:pref", PREFERRED)], &title(find)));
    });
    let read = inscriptions(key, find);
    if !read.is_empty() {
        xml.within("lido:inscriptionsWrap", &[], |xml| {
            for text in &read {
                xml.within("lido:inscriptions", &[], |xml| xml.words("lido:inscriptionTranscription", &[], text));
            }
        });
    }
    let says = std::iter::once(description(key, find)).chain(recorded::sentences(find, rules)).filter(|says| !says.is_empty());
    let says = says.collect::<Vec<_>>().join("\n");
    if !says.is_empty() {
        xml.within("lido:objectDescriptionWrap", &[], |xml| {
            xml.within("lido:objectDescriptionSet", &[], |xml| xml.words("lido:descriptiveNoteValue", &[], &says));
        });
    }
    let sizes = sizes(key, find);
    if !sizes.is_empty() {
        xml.within("lido:objectMeasurementsWrap", &[], |xml| sizes.iter().for_each(|size| measurement(xml, size)));
    }
    let made_of: Vec<String> = body_of(key, find).map(|body| body.label.clone()).into_iter().chain(recorded::coats(find)).collect();
    if !made_of.is_empty() {
        xml.within("lido:objectMaterialsTechWrap", &[], |xml| {
            xml.within("lido:objectMaterialsTechSet", &[], |xml| xml.words("lido:displayMaterialsTech", &[], &made_of.join("; ")));
        });
    }
}

fn measurement(xml: &mut Xml, size: &Size) {
    let unit = if size.unit == Unit::Count { "pieces" } else { size.unit.sign() };
    xml.within("lido:objectMeasurementsSet", &[], |xml| {
        let says = format!("{} {} {}", size.name, size.value, size.unit.sign());
        xml.words("lido:displayObjectMeasurements", &[], says.trim_end());
        xml.within("lido:objectMeasurements", &[], |xml| {
            xml.within("lido:measurementsSet", &[], |xml| {
                xml.within("lido:measurementType", &[], |xml| xml.words("lido:term", &[], &size.name));
                xml.within("lido:measurementUnit", &[], |xml| xml.words("lido:term", &[], unit));
                xml.words("lido:measurementValue", &[], &size.value.to_string());
            });
        });
    });
}

fn production(xml: &mut Xml, years: Years) {
    xml.within("lido:eventType", &[], |xml| {
        xml.words("lido:conceptID", &[("lido:type", URI)], PRODUCTION);
        xml.words("lido:term", &[], "production");
    });
    xml.within("lido:eventDate", &[], |xml| match (years.from, years.to) {
        (Some(from), Some(to)) => xml.within("lido:date", &[], |xml| {
            xml.words("lido:earliestDate", &[], &format!("{from:04}"));
            xml.words("lido:latestDate", &[], &format!("{to:04}"));
        }),
        _ => xml.words("lido:displayDate", &[], &years.words()),
    });
}
