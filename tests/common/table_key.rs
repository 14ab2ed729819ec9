//! Parts of a key that is made from a table: features of plain values, forms of one plain shape.

use footring::key::shape::{Drawing, FootKind, Plan, Point, Shape, Surface};
use footring::key::{Feature, FeatureId, FeatureKind, Form, FormId, LineId, Part, Record, Value, ValueId, View, Years};

/// A feature of the body that has these values.
pub(crate) fn feature<'v>(id: &str, values: impl IntoIterator<Item = &'v String>, slip: f64) -> Feature {
    let value = |id: &String| Value {
        id: ValueId::new(id.clone()),
        name: String::new(),
        also: Vec::new(),
        drawing: Drawing::None,
        lab: None,
        note: String::new(),
    };
    Feature {
        id: FeatureId::from(id),
        name: String::new(),
        also: Vec::new(),
        part: Part::Body,
        view: View::Side,
        kind: FeatureKind::Choice(values.into_iter().map(value).collect()),
        only_if: None,
        slip,
        effort: 1.0,
        look: String::new(),
    }
}

/// A form of that line and weight with these records.
pub(crate) fn form(id: &str, line: &str, weight: f64, records: impl IntoIterator<Item = (FeatureId, Record)>) -> Form {
    Form {
        id: FormId::from(id),
        name: id.to_owned(),
        also: Vec::new(),
        line: LineId::from(line),
        borrowed_by: Vec::new(),
        made: Years::default(),
        weight,
        parts: vec![Part::Body],
        shape: Shape {
            body: vec![Point::Corner(30.0, 0.0), Point::Corner(40.0, 60.0)],
            wall_mm: 5.0,
            plan: Plan::Round,
            lid: Vec::new(),
            lid_plan: None,
            lid_sits_mm: 0.0,
            handles: Vec::new(),
            spout: None,
            finial: None,
            foot: FootKind::Ring,
            surface: Surface::Plain,
        },
        features: records.into_iter().collect(),
        glazes: Vec::new(),
        decorations: Vec::new(),
        marks: Vec::new(),
        claims: Vec::new(),
        pictures: Vec::new(),
        note: String::new(),
    }
}
