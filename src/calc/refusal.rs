//! Why a model gives no figure. A refusal is a result like any other: it is
//! printed, and in a job it blocks.

use super::layout::LONGEST_MM;

/// The reason for which a model gives no figure.
///
/// [`Refusal::code`] is the fixed word for files and findings; `Display` (and
/// [`Refusal::explain`]) is the sentence for people.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    #[error(
        "the cores start from one crutch, and it is not stated whether they lie there in a row or in trefoil"
    )]
    ArrangementNotStated,
    #[error("the crutch lies below the gland plate; state the job with three single entries")]
    CrutchBelowPlateNeedsSingleEntries,
    #[error("the top of the entry fittings is given below the gland plate")]
    EntryHeightNegative,
    #[error("the depth of the crutch below the gland plate is not above zero")]
    CrutchDepthNotPositive,
    #[error("no height is left between the start of the cores and the insulation cut at the stud")]
    NoHeightBetweenStartAndInsulationEnd,
    #[error("the core screen edge would lie at or below the start of the cores, or above the insulation cut")]
    EdgeNotAboveStart,
    #[error("the stress control tube would end at or below the breakout, or inside the entry")]
    TubeBelowStart,
    #[error("the part of the stress control tube over the insulation is longer than the insulation exposed")]
    TubeLongerThanInsulation,
    #[error(
        "the list of studs for the left, middle and right core does not name each of the studs 1, 2 and 3 once"
    )]
    CoreToStudNotAPermutation,
    #[error("the studs stand closer together than the cores start")]
    PitchLessThanStartSpacing,
    #[error("a curve between these two points and directions would have to begin or end backwards")]
    NoForwardCurve,
    #[error(
        "cable and cores lean by less than 0 or by 60 degrees and more from upright where they pass the plate: heights above the plate say nothing of such an entry"
    )]
    LeanRange,
    #[error("a length is negative")]
    NegativeInput,
    #[error("the lug barrel is deeper than the distance from its mouth to the palm hole")]
    BarrelDeeperThanMouthToHole,
    #[error("the overlap on the core screen is longer than the tube itself")]
    OverlapLongerThanTube,
    #[error("the tube would reach past the insulation cut: no clear surface is left")]
    ClearSurfaceNegative,
    #[error("the tube would cover the reference ring on the metal screen")]
    TubeCoversReferenceRing,
    #[error(
        "the armour is clamped in a gland, and crutch height, armour cut or sheath cut from the plate is missing"
    )]
    GlandFiguresMissing,
    #[error("the sheath would be cut above the armour in the gland")]
    GlandCutsReversed,
    #[error("a tolerance is negative, or the tube length lies outside its own least and greatest figure")]
    ToleranceSign,
    #[error("moulded or in one piece, the kit's figure stands")]
    NotApplicable,
    #[error("the operating voltage lies outside 3 to 36 kV")]
    VoltageRange,
    #[error("the recovered tube length is not above zero")]
    LengthRange,
    #[error("the altitude lies outside 0 to 4000 m")]
    AltitudeRange,
    #[error("the altitude exponent lies outside 0.5 to 1")]
    ExponentRange,
    #[error("the form of the altitude correction is neither iec62271-1 nor iec60071-2")]
    FormUnknown,
    #[error("the level needed lies above the last level of the table")]
    AboveTable,
    #[error("the place is neither indoor nor outdoor")]
    PlaceUnknown,
    #[error("the table has no rows for this highest voltage for equipment")]
    UmNotInTable,
    #[error("the table does not have this rated impulse level for this highest voltage")]
    LiwvNotForUm,
    #[error("the plan is blocked or not accepted")]
    PlanNotAccepted,
    #[error("the core screen edge of the joint would lie inside the insulation cut")]
    EdgeInsideInsulationCut,
    #[error("the metal screen of the joint would be cut inside the core screen edge")]
    ScreenCutInsideEdge,
    #[error("on side X the crutch would lie inside the metal screen cut")]
    CrutchInsideScreenCutX,
    #[error("on side Y the crutch would lie inside the metal screen cut")]
    CrutchInsideScreenCutY,
    #[error(
        "the diameter over the conductor screen is not above zero and below the diameter over the insulation"
    )]
    NotCoaxial,
    #[error("a permittivity lies outside its range: 1 to 10 for insulation, at least 1 for a tube")]
    PermittivityRange,
    #[error("the capacitance is not above zero")]
    CapacitanceRange,
    #[error("the cable length is not above zero")]
    CableLengthRange,
    #[error("the voltage is not above zero")]
    VoltageNotPositive,
    #[error("the discharge resistor is not stated")]
    ResistorMissing,
    #[error("the waveform is neither sine nor dc; other shapes are planned by the data of their set")]
    WaveformUnknown,
    #[error("the frequency is not above zero")]
    FrequencyRange,
    #[error("the step is filled: there is no gas, and no figure")]
    StepFilled,
    #[error("the part fills the step by its own construction")]
    BuiltInFilling,
    #[error("no stress control tube lies over the step")]
    NoTube,
    #[error("the height of the step lies outside 0.1 to 1.5 mm")]
    StepRange,
    #[error("the air temperature lies outside -20 to 50 C")]
    AirTemperatureRange,
    #[error("the wall of the tube is not above zero")]
    WallRange,
    #[error("the resistivity of the tube is not above zero")]
    ResistivityRange,
    #[error("the metal is not one of those whose constants are known here")]
    MaterialUnknown,
    #[error("the final temperature is not above the temperature at the start")]
    NotRising,
    #[error("the final temperature lies above the limit")]
    FinalAboveLimit,
    #[error("the duration lies outside 0 to 5 s")]
    TimeRange,
    #[error("the cross-section is not above zero")]
    AreaRange,
    #[error("the current is not above zero")]
    CurrentRange,
    #[error("the number of wires is not a whole number from 1")]
    CountRange,
    #[error("a size of the screen is not above zero")]
    SizeRange,
    #[error("the overlap is not a share of the tape width from 0 to under 0.9")]
    OverlapRange,
    #[error("areas of different metals are never added")]
    MixedMetals,
    #[error("the make-up of the screen is neither wires nor tape nor tube nor a sum of these")]
    KindUnknown,
    #[error("the pollution class is not one of the letters of the table")]
    ClassUnknown,
    #[error("the highest voltage for equipment lies outside 0 to 36.5 kV")]
    UmRange,
    #[error("the relative humidity lies outside 0 to 100 %")]
    HumidityRange,
    #[error("the cables lie closer together than the screen is wide")]
    SpacingBelowDiameter,
    #[error("a figure has the wrong sign or is not a number")]
    InputRange,
    #[error("the cables are neither in trefoil nor flat")]
    ArrangementUnknown,
    #[error("the conductor temperature lies outside -40 to 250 C")]
    ConductorTemperatureRange,
    #[error("the test factor lies outside 1 to 4")]
    FactorRange,
    #[error("it is not stated whether the voltage was read as r.m.s. or as peak")]
    RmsOrPeakMissing,
    #[error("the last digit of the display is not stated")]
    DisplayDigitMissing,
    #[error("the stage of the test is neither install nor accept nor maint")]
    StageUnknown,
    #[error("the table has no such row, and nothing is read between rows")]
    NoRow,
    #[error("a reading is missing or not above zero")]
    ReadingRange,
    #[error("the outer diameter is not above zero")]
    DiameterRange,
    #[error("it is not stated whether the radius is to the inside or to the axis, nor that this is open")]
    StatedToUnknown,
    #[error("{0} is not given, and the figure cannot be worked out without it")]
    FigureMissing(&'static str),
    #[error("{0} is not a usable figure (not a number, wrong sign, or beyond {far} mm)", far = LONGEST_MM)]
    FigureOutOfRange(&'static str),
    #[error("the figures given lead to no finite result")]
    NoFiniteResult,
}

impl Refusal {
    /// The fixed word of this refusal.
    pub fn code(self) -> &'static str {
        match self {
            Self::ArrangementNotStated => "arrangement-not-stated",
            Self::CrutchBelowPlateNeedsSingleEntries => "crutch-below-plate-needs-single-entries",
            Self::EntryHeightNegative => "entry-height-negative",
            Self::CrutchDepthNotPositive => "crutch-depth-not-positive",
            Self::NoHeightBetweenStartAndInsulationEnd => "no-height-between-start-and-insulation-end",
            Self::EdgeNotAboveStart => "edge-not-above-start",
            Self::TubeBelowStart => "tube-below-start",
            Self::TubeLongerThanInsulation => "tube-longer-than-insulation",
            Self::CoreToStudNotAPermutation => "core-to-stud-not-a-permutation",
            Self::PitchLessThanStartSpacing => "pitch-less-than-start-spacing",
            Self::NoForwardCurve => "no-forward-curve",
            Self::LeanRange => "lean-range",
            Self::NegativeInput => "negative-input",
            Self::BarrelDeeperThanMouthToHole => "barrel-deeper-than-mouth-to-hole",
            Self::OverlapLongerThanTube => "overlap-longer-than-tube",
            Self::ClearSurfaceNegative => "clear-surface-negative",
            Self::TubeCoversReferenceRing => "tube-covers-reference-ring",
            Self::GlandFiguresMissing => "gland-figures-missing",
            Self::GlandCutsReversed => "gland-cuts-reversed",
            Self::ToleranceSign => "tolerance-sign",
            Self::NotApplicable => "not-applicable",
            Self::VoltageRange => "voltage-range",
            Self::LengthRange => "length-range",
            Self::AltitudeRange => "altitude-range",
            Self::ExponentRange => "exponent-range",
            Self::FormUnknown => "form-unknown",
            Self::AboveTable => "above-table",
            Self::PlaceUnknown => "place-unknown",
            Self::UmNotInTable => "um-not-in-table",
            Self::LiwvNotForUm => "liwv-not-for-um",
            Self::PlanNotAccepted => "plan-not-accepted",
            Self::EdgeInsideInsulationCut => "edge-inside-insulation-cut",
            Self::ScreenCutInsideEdge => "screen-cut-inside-edge",
            Self::CrutchInsideScreenCutX => "crutch-inside-screen-cut-x",
            Self::CrutchInsideScreenCutY => "crutch-inside-screen-cut-y",
            Self::NotCoaxial => "not-coaxial",
            Self::PermittivityRange => "permittivity-range",
            Self::CapacitanceRange => "capacitance-range",
            Self::CableLengthRange => "length-range",
            Self::VoltageNotPositive => "voltage-range",
            Self::ResistorMissing => "resistor-missing",
            Self::WaveformUnknown => "waveform-unknown",
            Self::FrequencyRange => "frequency-range",
            Self::StepFilled => "step-filled",
            Self::BuiltInFilling => "built-in-filling",
            Self::NoTube => "no-tube",
            Self::StepRange => "step-range",
            Self::AirTemperatureRange => "temperature-range",
            Self::WallRange => "wall-range",
            Self::ResistivityRange => "resistivity-range",
            Self::MaterialUnknown => "material-unknown",
            Self::NotRising => "not-rising",
            Self::FinalAboveLimit => "final-above-limit",
            Self::TimeRange => "time-range",
            Self::AreaRange => "area-range",
            Self::CurrentRange => "current-range",
            Self::CountRange => "count-range",
            Self::SizeRange => "size-range",
            Self::OverlapRange => "overlap-range",
            Self::MixedMetals => "mixed-metals",
            Self::KindUnknown => "kind-unknown",
            Self::ClassUnknown => "class-unknown",
            Self::UmRange => "um-range",
            Self::HumidityRange => "humidity-range",
            Self::SpacingBelowDiameter => "spacing-below-diameter",
            Self::InputRange => "input-range",
            Self::ArrangementUnknown => "arrangement-unknown",
            Self::ConductorTemperatureRange => "temperature-range",
            Self::FactorRange => "factor-range",
            Self::RmsOrPeakMissing => "rms-or-peak-missing",
            Self::DisplayDigitMissing => "display-digit-missing",
            Self::StageUnknown => "stage-unknown",
            Self::NoRow => "no-row",
            Self::ReadingRange => "reading-range",
            Self::DiameterRange => "diameter-range",
            Self::StatedToUnknown => "stated-to-unknown",
            Self::FigureMissing(_) => "figure-missing",
            Self::FigureOutOfRange(_) | Self::NoFiniteResult => "figure-out-of-range",
        }
    }

    /// The sentence for people, without a full stop; the same as `Display`.
    pub fn explain(self) -> String {
        self.to_string()
    }
}
