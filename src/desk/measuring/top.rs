//! What is on top of a piece seen from the side: asked for, with a drawing of each, as the picture does not tell.

use super::view::Open;
use crate::desk::theme::{self, Colours, TARGET};
use crate::desk::widgets::remark;
use crate::identify::by_shape::LidOn;
use crate::photo::side::Top;
use crate::say;
use egui::{Atom, Button, Painter, Pos2, Rect, Role, Stroke, Ui, WidgetInfo, pos2, vec2};

/// What is on top of the piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OnTop {
    /// Nothing: it is open right to the edge that is seen.
    Open,
    /// Its lid.
    Lid,
    /// A shoulder with a narrower opening, or none.
    Shoulder,
}

impl OnTop {
    /// What that says of rim and capacity.
    pub(super) const fn top(self) -> Top {
        match self {
            Self::Open => Top::Open,
            Self::Lid | Self::Shoulder => Top::Closed,
        }
    }

    /// What the shape is to be compared with.
    pub(super) const fn lid(self) -> LidOn {
        match self {
            Self::Lid => LidOn::On,
            Self::Open | Self::Shoulder => LidOn::Off,
        }
    }
}

/// Asks what is on top.
pub(super) fn top_ui(ui: &mut Ui, open: &mut Open) {
    let c = theme::colours(ui);
    let now = open.steps.now().top;
    remark(ui, if now.is_none() { say!("What is on top? The picture does not tell.") } else { say!("On top") });
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(6.0, 6.0);
        for (is, words, hint) in [
            (OnTop::Open, say!("Open to its edge"), say!("The edge seen at the top is the rim: it is measured, and what the piece holds")),
            (OnTop::Lid, say!("Lid on"), say!("The height is that with the lid; rim and capacity can't be told")),
            (
                OnTop::Shoulder,
                say!("Closed or narrow"),
                say!("A shoulder with a narrower opening, or none; rim and capacity can't be told"),
            ),
        ] {
            let on = now == Some(is);
            let figure = Atom::paint(vec2(28.0, 24.0), move |ui, args| figure(ui.painter(), args.rect, is, c));
            let response = ui.add(Button::selectable(on, (figure, words)).min_size(vec2(TARGET, TARGET + 2.0))).on_hover_text(hint);
            response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, words));
            if response.clicked() {
                open.steps.change(|setup| setup.top = Some(is));
            }
        }
    });
}

/// A pot with that on top.
fn figure(painter: &Painter, rect: Rect, is: OnTop, c: &Colours) {
    let at = |x: f32, y: f32| pos2(rect.center().x + x * rect.height(), rect.bottom() - 1.0 - y * (rect.height() - 2.0));
    let ink = Stroke::new(1.6, c.ink);
    let both = |line: &[(f32, f32)]| {
        for side in [-1.0, 1.0] {
            painter.line(line.iter().map(|&(x, y)| at(side * x, y)).collect::<Vec<Pos2>>(), ink);
        }
    };
    match is {
        OnTop::Open => {
            both(&[(0.0, 0.0), (0.3, 0.0), (0.38, 0.35), (0.42, 0.82)]);
            let ring = |k: u8| std::f32::consts::TAU * f32::from(k) / 24.0;
            painter.line((0..=24).map(|k| at(0.42 * ring(k).cos(), 0.86 + 0.12 * ring(k).sin())).collect(), ink);
        }
        OnTop::Lid => {
            both(&[(0.0, 0.0), (0.3, 0.0), (0.4, 0.3), (0.42, 0.56), (0.0, 0.56)]);
            both(&[(0.45, 0.56), (0.3, 0.74), (0.07, 0.8), (0.07, 0.92), (0.0, 0.98)]);
        }
        OnTop::Shoulder => {
            both(&[(0.0, 0.0), (0.3, 0.0), (0.42, 0.3), (0.4, 0.56), (0.1, 0.74), (0.1, 0.92), (0.0, 0.92)]);
        }
    }
}
