//! A condition as a person reads it: facts by their titles, comparisons in words.
//!
//! Only what conditions are made of is put into words: comparisons, `in` lists, `and`,
//! `or`, `not`, brackets. Anything else is left as it is written.

/// The condition in words; `title` gives those of a fact, nothing where it knows none.
pub fn in_words(condition: &str, title: &dyn Fn(&str) -> Option<String>) -> String {
    let tokens = tokens(condition);
    let mut parser = Parser { tokens: &tokens, at: 0, title };
    match parser.any_of() {
        Some(words) if parser.at == tokens.len() => words,
        _ => condition.to_string(),
    }
}

#[derive(Clone, Debug, PartialEq)]
enum Token {
    Name(String),
    /// A quoted word or a number.
    Value(String),
    Sign(String),
}

fn tokens(text: &str) -> Vec<Token> {
    let chars: Vec<char> = text.chars().collect();
    let mut out = Vec::new();
    let mut at = 0;
    while at < chars.len() {
        let c = chars[at];
        let from = at;
        let run = |mut at: usize, of: &dyn Fn(char) -> bool| {
            while at < chars.len() && of(chars[at]) {
                at += 1;
            }
            at
        };
        if c.is_whitespace() {
            at += 1;
        } else if c == '\'' || c == '"' {
            at = run(at + 1, &|other| other != c);
            out.push(Token::Value(chars[from + 1..at].iter().collect()));
            at += 1;
        } else if c.is_ascii_digit() {
            at = run(at, &|c| c.is_ascii_digit() || c == '.');
            out.push(Token::Value(chars[from..at].iter().collect()));
        } else if c.is_alphabetic() || c == '_' {
            at = run(at, &|c| c.is_alphanumeric() || matches!(c, '_' | '.'));
            out.push(Token::Name(chars[from..at].iter().collect()));
        } else if matches!(c, '=' | '!' | '<' | '>') {
            at = run(at, &|c| matches!(c, '=' | '!' | '<' | '>'));
            out.push(Token::Sign(chars[from..at].iter().collect()));
        } else {
            at += 1;
            out.push(Token::Sign(c.to_string()));
        }
    }
    out
}

struct Parser<'t> {
    tokens: &'t [Token],
    at: usize,
    title: &'t dyn Fn(&str) -> Option<String>,
}

impl Parser<'_> {
    /// Takes the next token where it is this word or sign.
    fn takes(&mut self, word: &str) -> bool {
        let here = match self.tokens.get(self.at) {
            Some(Token::Name(name) | Token::Sign(name)) => name == word,
            _ => false,
        };
        self.at += usize::from(here);
        here
    }

    fn any_of(&mut self) -> Option<String> {
        let mut parts = vec![self.all_of()?];
        while self.takes("or") {
            parts.push(self.all_of()?);
        }
        Some(parts.join(", or "))
    }

    fn all_of(&mut self) -> Option<String> {
        let mut parts = vec![self.one(false)?];
        while self.takes("and") {
            parts.push(self.one(false)?);
        }
        Some(parts.join(", and "))
    }

    fn one(&mut self, not: bool) -> Option<String> {
        if self.takes("not") {
            return self.one(!not);
        }
        if self.takes("(") {
            let inside = self.any_of()?;
            return self
                .takes(")")
                .then(|| if not { format!("not ({inside})") } else { format!("({inside})") });
        }
        let Some(Token::Name(name)) = self.tokens.get(self.at) else { return None };
        self.at += 1;
        let subject = self.called(name);
        let negated = self.takes("not");
        if self.takes("in") {
            return Some(format!(
                "{subject} is {}{}",
                if negated != not { "not " } else { "" },
                self.list()?
            ));
        }
        let sign = match self.tokens.get(self.at) {
            Some(Token::Sign(sign)) if sign.starts_with(['=', '!', '<', '>']) => sign.clone(),
            _ if negated => return None,
            _ => return Some(format!("{subject}: {}", if not { "no" } else { "yes" })),
        };
        self.at += 1;
        let (other, fact) = match self.tokens.get(self.at)? {
            Token::Value(value) => (value.clone(), false),
            Token::Name(name) => (self.called(name), true),
            Token::Sign(_) => return None,
        };
        self.at += 1;
        let verb = match (sign.as_str(), fact) {
            ("==", true) => "is the same as",
            ("==", false) => "is",
            ("!=", true) => "differs from",
            ("!=", false) => "is not",
            ("<", _) => "is less than",
            ("<=", _) => "is no more than",
            (">", _) => "is more than",
            (">=", _) => "is at least",
            _ => return None,
        };
        let words = format!("{subject} {verb} {other}");
        Some(if not { format!("not ({words})") } else { words })
    }

    /// `box, outdoor or connector`; a fact that holds a list is `among` it.
    fn list(&mut self) -> Option<String> {
        if let Some(Token::Name(name)) = self.tokens.get(self.at) {
            self.at += 1;
            return Some(format!("among {}", self.called(name)));
        }
        if !self.takes("[") {
            return None;
        }
        let mut values = Vec::new();
        while let Some(Token::Value(value)) = self.tokens.get(self.at) {
            values.push(value.clone());
            self.at += 1;
            if !self.takes(",") {
                break;
            }
        }
        if !self.takes("]") {
            return None;
        }
        let last = values.pop()?;
        Some(if values.is_empty() { last } else { format!("{} or {last}", values.join(", ")) })
    }

    /// A fact by its title; of two jobs side by side with whose it is.
    fn called(&self, name: &str) -> String {
        if let Some(title) = (self.title)(name) {
            return title;
        }
        for (side, words) in [("one.", "by the one job"), ("other.", "by the other")] {
            if let Some(title) = name.strip_prefix(side).and_then(|own| (self.title)(own)) {
                return format!("{title} {words}");
            }
        }
        format!("`{name}`")
    }
}

#[cfg(test)]
mod tests {
    use super::in_words;

    #[test]
    fn conditions_read_as_sentences() {
        let title = |name: &str| {
            let known =
                [("gap", "least gap"), ("kit.gap_least", "gap the kit asks for"), ("pole", "pole work")];
            known.iter().find(|(n, _)| *n == name).map(|(_, title)| title.to_string())
        };
        for (condition, words) in [
            ("gap < kit.gap_least", "least gap is less than gap the kit asks for"),
            ("gap >= 80 and not pole", "least gap is at least 80, and pole work: no"),
            ("family in ['box', 'outdoor'] and pole", "`family` is box or outdoor, and pole work: yes"),
            ("gap not in kit.gap_least", "least gap is not among gap the kit asks for"),
            ("one.gap != other.gap", "least gap by the one job differs from least gap by the other"),
            (
                "pole or (gap == 'none' and not gap < 1)",
                "pole work: yes, or (least gap is none, and not (least gap is less than 1))",
            ),
            // What is no such condition stays as it is.
            ("gap + 1 > 2", "gap + 1 > 2"),
            ("gap in [", "gap in ["),
            ("", ""),
        ] {
            assert_eq!(in_words(condition, &title), words);
        }
    }
}
