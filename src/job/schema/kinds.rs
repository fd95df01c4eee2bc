//! The kinds of work, from one table that is read while the tool is built: their
//! names are choices of the schema, which is itself a constant.

/// Kind, family, datum, cores and technique of each; a head line before them.
const TABLE: &str = include_str!("../../../templates/kinds.csv");
const COUNT: usize = lines(TABLE) - 1;
const NAMES: [&str; COUNT] = {
    let mut names = [""; COUNT];
    let mut row = 0;
    while row < COUNT {
        names[row] = field(TABLE, row + 1, 0);
        row += 1;
    }
    names
};

/// Kinds of work that a job file may name.
pub const WORK_TYPES: &[&str] = &NAMES;

/// What a kind of work is made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WorkKind {
    /// box, outdoor, joint, inspection, connector: what the rules ask for.
    pub family: &'static str,
    /// What its figures are measured from: `stud`, `centre` of a joint, or `none`.
    pub datum: &'static str,
    /// Cores of the cable; nothing where the method serves any number.
    pub cores: Option<usize>,
    /// `hot`, `cold` or `any`: whether a flame shrinks the parts on.
    pub technique: &'static str,
}

/// The kind of work of this name.
pub fn work_kind(name: &str) -> Option<WorkKind> {
    let row = WORK_TYPES.iter().position(|known| *known == name)? + 1;
    Some(WorkKind {
        family: field(TABLE, row, 1),
        datum: field(TABLE, row, 2),
        cores: field(TABLE, row, 3).parse().ok(),
        technique: field(TABLE, row, 4),
    })
}

const fn lines(text: &str) -> usize {
    let bytes = text.as_bytes();
    let (mut count, mut i) = (0, 0);
    while i < bytes.len() {
        if bytes[i] == b'\n' {
            count += 1;
        }
        i += 1;
    }
    count
}

/// One field of the table; empty where the line has none there.
const fn field(text: &'static str, row: usize, column: usize) -> &'static str {
    let bytes = text.as_bytes();
    let (mut line, mut comma, mut start, mut i) = (0, 0, 0, 0);
    while i < bytes.len() {
        if bytes[i] == b',' || bytes[i] == b'\n' {
            if line == row && comma == column {
                let (head, _) = bytes.split_at(i);
                let (_, own) = head.split_at(start);
                return match std::str::from_utf8(own) {
                    Ok(own) => own,
                    Err(_) => "",
                };
            }
            if bytes[i] == b',' {
                comma += 1;
            } else {
                line += 1;
                comma = 0;
            }
            start = i + 1;
        }
        i += 1;
    }
    ""
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_table_is_whole() {
        for name in WORK_TYPES {
            let kind = work_kind(name).expect("its own line");
            assert!(!name.is_empty() && !kind.family.is_empty(), "{name}");
            assert!(["stud", "centre", "none"].contains(&kind.datum), "{name}: {}", kind.datum);
            assert!(["hot", "cold", "any"].contains(&kind.technique), "{name}: {}", kind.technique);
            let line = TABLE.lines().find(|l| l.starts_with(&format!("{name},"))).expect("a line");
            assert_eq!(line.split(',').count(), 5, "{line}");
        }
        assert_eq!(work_kind("joint-1c-cs").and_then(|k| k.cores), Some(1));
        assert_eq!(work_kind("term-outdoor").and_then(|k| k.cores), None);
        assert!(work_kind("kind").is_none() && work_kind("").is_none(), "the head is no kind");
    }
}
