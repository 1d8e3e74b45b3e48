//! Published behaviour of films in dim light.
//!
//! Kodak T-MAX: publication F-4016 (October 2007), read in a public copy. ILFORD exponents: the maker's technical
//! information on reciprocity, second-hand. Kodak Tri-X (F-4017) and Fujifilm Acros II past 120 s: from memory.

use super::reciprocity::{Row, Rule, Sheet};

const ILFORD: &str =
    "ILFORD technical information on reciprocity failure, second-hand; no upper end is stated";

const fn ilford(word: &'static str, film: &'static str, exponent: f64) -> Sheet {
    Sheet { word, film, source: ILFORD, rule: Rule::Power(exponent) }
}

const fn row(metered_s: f64, open_stops: f64, give_s: Option<f64>) -> Row {
    Row { metered_s, open_stops, give_s }
}

/// At 1 s the T-MAX sheets give no time, only an opening.
const T_MAX_100: [Row; 4] = [
    row(0.1, 0.0, Some(0.1)),
    row(1.0, 1.0 / 3.0, None),
    row(10.0, 0.5, Some(15.0)),
    row(100.0, 1.0, Some(200.0)),
];

const T_MAX_400: [Row; 4] = [
    row(0.1, 0.0, Some(0.1)),
    row(1.0, 1.0 / 3.0, None),
    row(10.0, 0.5, Some(15.0)),
    row(100.0, 1.5, Some(300.0)),
];

const TRI_X: [Row; 4] = [
    row(0.1, 0.0, Some(0.1)),
    row(1.0, 1.0, Some(2.0)),
    row(10.0, 2.0, Some(50.0)),
    row(100.0, 3.0, Some(1200.0)),
];

const PROVIA_100F: [Row; 1] = [row(128.0, 0.0, None)];

const ACROS_II: [Row; 3] = [row(120.0, 0.0, None), row(120.0, 0.5, None), row(1000.0, 0.5, None)];

/// Every film, by maker.
pub(super) static SHEETS: [Sheet; 14] = [
    ilford("ortho-plus", "ILFORD Ortho Plus", 1.25),
    ilford("fp4-plus", "ILFORD FP4 Plus", 1.26),
    ilford("delta-100", "ILFORD Delta 100", 1.26),
    ilford("hp5-plus", "ILFORD HP5 Plus", 1.31),
    ilford("xp2", "ILFORD XP2", 1.31),
    ilford("pan-f-plus", "ILFORD Pan F Plus", 1.33),
    ilford("delta-3200", "ILFORD Delta 3200", 1.33),
    ilford("delta-400", "ILFORD Delta 400", 1.41),
    ilford("sfx", "ILFORD SFX", 1.43),
    Sheet {
        word: "t-max-100",
        film: "Kodak T-MAX 100",
        source: "Kodak publication F-4016, October 2007",
        rule: Rule::Table(&T_MAX_100),
    },
    Sheet {
        word: "t-max-400",
        film: "Kodak T-MAX 400",
        source: "Kodak publication F-4016, October 2007",
        rule: Rule::Table(&T_MAX_400),
    },
    Sheet {
        word: "tri-x",
        film: "Kodak Tri-X",
        source: "Kodak publication F-4017, from memory",
        rule: Rule::Table(&TRI_X),
    },
    Sheet {
        word: "provia-100f",
        film: "Fujifilm Provia 100F",
        source: "Fujifilm data sheet, second-hand",
        rule: Rule::Table(&PROVIA_100F),
    },
    Sheet {
        word: "acros-ii",
        film: "Fujifilm Acros II",
        source: "Fujifilm data sheet, second-hand to 120 s, from memory to 1000 s",
        rule: Rule::Table(&ACROS_II),
    },
];
