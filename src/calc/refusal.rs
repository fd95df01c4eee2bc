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
    #[error(
        "the part is moulded or in one piece: the length rule for tubes does not apply, the kit's figure stands"
    )]
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
    #[error("{0} is not given, and the figure cannot be worked out without it")]
    FigureMissing(&'static str),
    #[error("{0} is not a usable figure (not a number, wrong sign, or beyond {far} mm)", far = LONGEST_MM)]
    FigureOutOfRange(&'static str),
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
            Self::FigureMissing(_) => "figure-missing",
            Self::FigureOutOfRange(_) => "figure-out-of-range",
        }
    }

    /// The sentence for people, without a full stop; the same as `Display`.
    pub fn explain(self) -> String {
        self.to_string()
    }
}
