//! Codes of the trouble that comes before any rule: the letter Y stands for the
//! YAML text itself, Z for issuing.

/// What can be wrong before a rule is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadingCode {
    NotReadable,
    UnknownKey,
    WrongKind,
    MissingKey,
    NotInLibrary,
    NotPrintable,
    Acceptance,
    NotCredible,
    RevisionLive,
}

/// Code, name of the wrong and meaning of one kind of reading trouble.
#[derive(Debug)]
pub struct Entry {
    pub code: &'static str,
    pub name: &'static str,
    pub meaning: &'static str,
}

pub const READING_CODES: &[ReadingCode] = &[
    ReadingCode::NotReadable,
    ReadingCode::UnknownKey,
    ReadingCode::WrongKind,
    ReadingCode::MissingKey,
    ReadingCode::NotInLibrary,
    ReadingCode::NotPrintable,
    ReadingCode::Acceptance,
    ReadingCode::NotCredible,
    ReadingCode::RevisionLive,
];

impl ReadingCode {
    pub fn entry(self) -> Entry {
        let (code, name, meaning) = match self {
            ReadingCode::NotReadable => (
                "Y01",
                "not-readable",
                "The text is no YAML file of the expected form, or is empty, too large or too deep.",
            ),
            ReadingCode::UnknownKey => {
                ("Y02", "unknown-key", "A key that the schema does not have. Nothing is ignored in silence.")
            }
            ReadingCode::WrongKind => (
                "Y03",
                "wrong-kind-of-value",
                "A value of another kind than the key takes: a bare number, another unit, a word that is not one of the choices.",
            ),
            ReadingCode::MissingKey => (
                "Y04",
                "missing-key",
                "A key without which the file is no job: number, revision, end, work type, date.",
            ),
            ReadingCode::NotInLibrary => (
                "Y05",
                "not-in-library",
                "A cable, kit, lug or boot set that the library does not hold under this name.",
            ),
            ReadingCode::NotPrintable => (
                "Y06",
                "not-printable",
                "A character that the fonts of the pack can't print, or one that changes the direction of reading.",
            ),
            ReadingCode::Acceptance => (
                "Y07",
                "acceptance-does-not-hold",
                "An acceptance of something that blocks, of a rule that did not ask, or of figures that are no longer the printed ones.",
            ),
            ReadingCode::NotCredible => (
                "Y08",
                "not-credible",
                "A figure that no job of 3.3 to 36 kV has, or two that contradict each other: a slip of unit or of the decimal point. Common practice, no source.",
            ),
            ReadingCode::RevisionLive => (
                "Z01",
                "earlier-revision-live",
                "A revision of the same job and end is in force in the register and this job does not name it under `replaces`.",
            ),
        };
        Entry { code, name, meaning }
    }
}
