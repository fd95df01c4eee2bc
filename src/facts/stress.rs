//! The stress control tube against the operating voltage, and the filler.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{TubeLength, TubeLengthInput, tube_length_rule};
use crate::job::schema::Mark;
use crate::units::{Rounding, fixed};

const TUBE: &[&str] = &["system.nominal", "kit.sct.recovered", "kit.sct.moulded"];

fn tube(x: &Inputs) -> Result<TubeLength, Gap> {
    let [operating_kv, tube_mm] = x.numbers(["system.nominal", "kit.sct.recovered"])?;
    let moulded = x.yes("kit.sct.moulded")?;
    tube_length_rule(&TubeLengthInput { operating_kv, tube_mm, moulded }).map_err(|r| refused(r.code(), r))
}

const fn def(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    show: Show,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def {
        name,
        title,
        formula,
        inputs: TUBE,
        mark: Mark::CommonPractice,
        show,
        meaning: "The length of a linear stress control tube goes with the operating voltage, 190 to 250 mm at 22 kV. One series of voltages, 3.3, 6.6, 11, 22 and 33 kV, is used whatever the system.",
        compute,
    }
}

pub(super) const FACTS: &[Def] = &[
    def("tube_band_low", "least usual tube length", "190/22 x operating voltage", Show::Mm(1), |x| {
        Ok(Out::Number(tube(x)?.least_mm))
    }),
    def("tube_band_high", "greatest usual tube length", "250/22 x operating voltage", Show::Mm(1), |x| {
        Ok(Out::Number(tube(x)?.most_mm))
    }),
    def(
        "tube_suits",
        "voltage the tube suits",
        "highest of 3.3, 6.6, 11, 22, 33 kV whose least length the tube reaches",
        Show::Word,
        |x| {
            Ok(match tube(x)?.suits_kv {
                Some(kv) if kv.fract() == 0.0 => Out::Word(format!("{} kV", fixed(kv, 0, Rounding::Nearest))),
                Some(kv) => Out::Word(format!("{} kV", fixed(kv, 1, Rounding::Nearest))),
                None => Out::None("no standard voltage"),
            })
        },
    ),
    def(
        "tube_class",
        "class of the tube length",
        "tube length against the band and the next lower voltage",
        Show::Word,
        |x| Ok(Out::Word(tube(x)?.class.as_str().into())),
    ),
    Def {
        name: "sheet_states_length",
        title: "kit sheet states this length for this Um",
        formula: "sheet number and issue given, and the Um it states the length for is the system's Um",
        inputs: &["kit.sheet.number", "kit.sheet.issue", "kit.sct.stated_for_um", "system.highest"],
        mark: Mark::Kit,
        show: Show::Word,
        meaning: "",
        compute: |x| {
            let highest = x.number("system.highest")?;
            let stated = x.maybe("kit.sct.stated_for_um").is_some_and(|um| (um - highest).abs() < 1e-9);
            Ok(Out::YesNo(stated && x.answered("kit.sheet.number") && x.answered("kit.sheet.issue")))
        },
    },
    Def {
        name: "filler_stated",
        title: "filler figures stated",
        formula: "mastic on the core screen and on the insulation both given, above nought",
        inputs: &["kit.filler.on_semicon", "kit.filler.on_insulation"],
        mark: Mark::Kit,
        show: Show::Word,
        meaning: "",
        compute: |x| {
            let there = |name| x.maybe(name).is_some_and(|mm| mm > 0.0);
            Ok(Out::YesNo(there("kit.filler.on_semicon") && there("kit.filler.on_insulation")))
        },
    },
];
