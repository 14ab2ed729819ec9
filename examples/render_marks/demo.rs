//! The photographs of the demo: which mark, how it lies, what wore.

use crate::photograph::Shot;

pub(crate) const CREAM: [f64; 3] = [0.91, 0.86, 0.74];
pub(crate) const PALE: [f64; 3] = [0.88, 0.87, 0.84];
pub(crate) const GREY: [f64; 3] = [0.78, 0.77, 0.74];
pub(crate) const TAN: [f64; 3] = [0.80, 0.69, 0.58];

pub(crate) const PLAIN: Shot = Shot {
    mark: "",
    size: (640, 640),
    px_per_mm: 16.0,
    tilt_deg: 0.0,
    toward_deg: 0.0,
    roll_deg: 0.0,
    off: (0.0, 0.0),
    dish_mm: 0.0,
    lost: 0.1,
    faint: 0.3,
    run_mm: 0.06,
    glaze: CREAM,
    speckle: 0.0,
    crazing: 0.0,
    gleams: &[],
    uneven: 0.2,
    light_deg: 130.0,
    raking: 0.6,
    foot_mm: 24.0,
    foot_off: (0.0, 0.0),
    noise: 0.012,
    blur_px: 0.6,
    seed: 1,
};

/// Name of each photograph and how it is taken.
pub(crate) const SHOTS: [(&str, Shot); 22] = [
    (
        "fenlight-round-crazed",
        Shot { mark: "fenlight-round", roll_deg: 8.0, tilt_deg: 14.0, toward_deg: 200.0, crazing: 0.8, lost: 0.15, seed: 101, ..PLAIN },
    ),
    (
        "fenlight-round-tilted",
        Shot {
            mark: "fenlight-round",
            roll_deg: -17.0,
            tilt_deg: 30.0,
            toward_deg: 75.0,
            off: (0.05, -0.04),
            lost: 0.2,
            gleams: &[(0.3, 0.22, 0.09)],
            uneven: 0.5,
            seed: 102,
            ..PLAIN
        },
    ),
    (
        "fenlight-round-rubbed",
        Shot {
            mark: "fenlight-round",
            roll_deg: 24.0,
            tilt_deg: 8.0,
            lost: 0.42,
            faint: 0.6,
            crazing: 0.4,
            noise: 0.02,
            px_per_mm: 15.0,
            seed: 103,
            ..PLAIN
        },
    ),
    (
        "fenlight-round-small",
        Shot {
            mark: "fenlight-round",
            px_per_mm: 9.5,
            roll_deg: -6.0,
            tilt_deg: 18.0,
            toward_deg: 310.0,
            off: (-0.08, 0.1),
            foot_mm: 25.0,
            foot_off: (-2.5, 2.0),
            gleams: &[(0.75, 0.2, 0.06), (0.2, 0.6, 0.04)],
            lost: 0.12,
            seed: 104,
            ..PLAIN
        },
    ),
    (
        "fenlight-heron-clear",
        Shot { mark: "fenlight-heron", roll_deg: 11.0, tilt_deg: 9.0, toward_deg: 20.0, lost: 0.05, glaze: PALE, seed: 105, ..PLAIN },
    ),
    (
        "fenlight-heron-faint",
        Shot {
            mark: "fenlight-heron",
            roll_deg: -21.0,
            tilt_deg: 16.0,
            toward_deg: 140.0,
            lost: 0.25,
            faint: 0.6,
            crazing: 0.5,
            uneven: 0.45,
            seed: 106,
            ..PLAIN
        },
    ),
    (
        "quoin-oval-speckled",
        Shot {
            mark: "quoin-oval",
            roll_deg: 5.0,
            tilt_deg: 12.0,
            toward_deg: 260.0,
            glaze: GREY,
            speckle: 0.35,
            lost: 0.12,
            dish_mm: 120.0,
            seed: 107,
            ..PLAIN
        },
    ),
    (
        "quoin-oval-turned",
        Shot {
            mark: "quoin-oval",
            roll_deg: 33.0,
            tilt_deg: 18.0,
            toward_deg: 45.0,
            glaze: GREY,
            speckle: 0.2,
            lost: 0.28,
            run_mm: 0.14,
            gleams: &[(0.62, 0.3, 0.07)],
            seed: 108,
            ..PLAIN
        },
    ),
    (
        "quoin-oval-dished",
        Shot {
            mark: "quoin-oval",
            roll_deg: -12.0,
            tilt_deg: 24.0,
            toward_deg: 190.0,
            glaze: GREY,
            lost: 0.2,
            dish_mm: 60.0,
            uneven: 0.5,
            px_per_mm: 14.5,
            seed: 109,
            ..PLAIN
        },
    ),
    (
        "stannard-round-clear",
        Shot { mark: "stannard-round", roll_deg: 4.0, tilt_deg: 10.0, toward_deg: 100.0, glaze: TAN, lost: 0.06, seed: 110, ..PLAIN },
    ),
    (
        "stannard-round-worn",
        Shot {
            mark: "stannard-round",
            roll_deg: -28.0,
            tilt_deg: 22.0,
            toward_deg: 230.0,
            glaze: TAN,
            lost: 0.3,
            faint: 0.5,
            dish_mm: 80.0,
            gleams: &[(0.4, 0.75, 0.08)],
            seed: 111,
            ..PLAIN
        },
    ),
    (
        "stannard-round-domed",
        Shot {
            mark: "stannard-round",
            roll_deg: 15.0,
            tilt_deg: 20.0,
            toward_deg: 0.0,
            glaze: PALE,
            lost: 0.18,
            dish_mm: -90.0,
            crazing: 0.6,
            uneven: 0.4,
            px_per_mm: 14.0,
            off: (0.04, 0.03),
            seed: 112,
            ..PLAIN
        },
    ),
    (
        "oven-proof-label-torn",
        Shot { mark: "oven-proof-label", roll_deg: 7.0, tilt_deg: 12.0, toward_deg: 60.0, glaze: TAN, lost: 0.2, seed: 113, ..PLAIN },
    ),
    (
        "fenlight-script-worn",
        Shot { mark: "fenlight-script", roll_deg: -9.0, tilt_deg: 15.0, toward_deg: 270.0, lost: 0.25, crazing: 0.5, seed: 114, ..PLAIN },
    ),
    (
        "fenlight-wartime-blurred",
        Shot { mark: "fenlight-wartime", roll_deg: 14.0, tilt_deg: 10.0, run_mm: 0.25, lost: 0.15, blur_px: 1.2, seed: 115, ..PLAIN },
    ),
    (
        "quoin-square-speckled",
        Shot {
            mark: "quoin-square",
            roll_deg: -13.0,
            tilt_deg: 16.0,
            toward_deg: 30.0,
            glaze: GREY,
            speckle: 0.3,
            lost: 0.25,
            gleams: &[(0.7, 0.35, 0.06)],
            seed: 116,
            ..PLAIN
        },
    ),
    (
        "quoin-words-clear",
        Shot { mark: "quoin-words", roll_deg: 6.0, tilt_deg: 8.0, glaze: GREY, lost: 0.08, px_per_mm: 14.0, seed: 117, ..PLAIN },
    ),
    (
        "stannard-words-uneven",
        Shot {
            mark: "stannard-words",
            roll_deg: -5.0,
            tilt_deg: 20.0,
            toward_deg: 120.0,
            glaze: TAN,
            lost: 0.2,
            uneven: 0.7,
            seed: 118,
            ..PLAIN
        },
    ),
    (
        "marrowby-impressed-left",
        Shot {
            mark: "marrowby-impressed",
            roll_deg: 5.0,
            glaze: CREAM,
            lost: 0.0,
            faint: 0.5,
            raking: 1.0,
            light_deg: 180.0,
            uneven: 0.35,
            seed: 119,
            ..PLAIN
        },
    ),
    (
        "marrowby-impressed-top",
        Shot {
            mark: "marrowby-impressed",
            roll_deg: 5.6,
            off: (0.012, -0.009),
            glaze: CREAM,
            lost: 0.0,
            faint: 0.5,
            raking: 1.0,
            light_deg: 80.0,
            uneven: 0.35,
            seed: 119,
            ..PLAIN
        },
    ),
    (
        "marrowby-impressed-right",
        Shot {
            mark: "marrowby-impressed",
            roll_deg: 4.5,
            off: (-0.015, 0.006),
            glaze: CREAM,
            lost: 0.0,
            faint: 0.5,
            raking: 1.0,
            light_deg: -15.0,
            uneven: 0.35,
            seed: 119,
            ..PLAIN
        },
    ),
    (
        "stannard-moulded-soft",
        Shot {
            mark: "stannard-moulded",
            roll_deg: -7.0,
            tilt_deg: 10.0,
            glaze: TAN,
            lost: 0.0,
            faint: 0.3,
            raking: 1.0,
            light_deg: 110.0,
            speckle: 0.1,
            seed: 122,
            ..PLAIN
        },
    ),
];
