//! The cautions the program always shows. They are the usual ones; a laboratory decides, and local rules. Those a piece calls for come with its verdict.

use crate::say;

/// Shown in the help sheet and the guide.
pub fn general() -> [&'static str; 5] {
    [
        say!(
            "Old or unknown glazes, and colours on top of the glaze, may give off lead or cadmium, most of all to acid or hot food or where they are worn. Use for food only after a licensed laboratory has tested the piece; local food-safety rules decide."
        ),
        say!("Some orange, red, yellow and ivory glazes hold uranium: display only, wash hands, never grind, sand or drill."),
        say!("'Oven proof' in a mark is an old sales claim, not a test of this piece. Cracked, repaired or crazed ware is not for food."),
        say!("Broken ceramic is as sharp as glass. Old boxes carry dust and mould. Never look into an ultraviolet lamp."),
        say!("A verdict is an opinion from the features entered, not an appraisal or a certificate."),
    ]
}
