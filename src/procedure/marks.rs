//! The basis of a limit in short marks, so that it stands beside the limit and
//! costs no line. The key to the marks is printed with the method.

/// What a basis says, and its mark.
const MARKS: &[(&str, &str)] = &[
    ("kit", "KIT"),
    ("cable", "CABLE"),
    ("equipment", "EQUIP"),
    ("client", "CLIENT"),
    ("computed", "CALC"),
    ("common practice, no source", "CP"),
    ("common practice", "CP"),
    ("owner's rule", "OWNER"),
    ("owner's rules", "OWNER"),
];

/// The key to the marks.
pub(super) const KEY: &str = "KIT kit's sheet, CABLE cable maker, EQUIP equipment maker, CLIENT client, OWNER \
    owner's safety rules, CALC computed (formula in the annex), CP common practice, no source; (mem.) from memory.";

/// `kit; else common practice, no source` as `KIT; else CP`. A standard keeps its
/// name; what is quoted from memory says `(mem.)`.
pub(super) fn short(basis: &str) -> String {
    let one = |part: &str| {
        let part = part.trim();
        let (part, memory) = match part.strip_suffix(", from memory") {
            Some(rest) => (rest, " (mem.)"),
            None => (part, ""),
        };
        // Longest first, and only whole words at an end: `5 mm common practice, no source`.
        let mut marks: Vec<_> = MARKS.iter().collect();
        marks.sort_by_key(|(words, _)| std::cmp::Reverse(words.len()));
        for (words, mark) in marks {
            if part == *words {
                return format!("{mark}{memory}");
            }
            if let Some(rest) = part.strip_suffix(words).filter(|rest| rest.ends_with(' ')) {
                return format!("{rest}{mark}{memory}");
            }
            if let Some(rest) = part.strip_prefix(words).filter(|rest| rest.starts_with(' ')) {
                return format!("{mark}{rest}{memory}");
            }
        }
        format!("{part}{memory}")
    };
    basis.split(';').map(one).collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_basis_becomes_marks() {
        for (basis, mark) in [
            ("kit", "KIT"),
            ("kit; else common practice, no source", "KIT; else CP"),
            ("kit; 5 mm common practice, no source", "KIT; 5 mm CP"),
            ("common practice, from memory; maker's figure first", "CP (mem.); maker's figure first"),
            ("EN 50110-1, from memory; owner's rules", "EN 50110-1 (mem.); OWNER"),
            ("owner's rule first; common practice, from memory", "OWNER first; CP (mem.)"),
            ("kit (boots); else IEC 61936-1, from memory", "KIT (boots); else IEC 61936-1 (mem.)"),
            ("computed; equipment", "CALC; EQUIP"),
        ] {
            assert_eq!(short(basis), mark, "{basis}");
        }
    }
}
