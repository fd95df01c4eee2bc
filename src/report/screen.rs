//! The lines of the sources that a finding points at, as a screen takes them:
//! clean, and no wider than it is.

use super::text::WIDTH;
use crate::source::Source;
use codespan_reporting::diagnostic::Label;
use codespan_reporting::files::{Error, Files};
use std::ops::Range;

/// One file: the lines pointed at and no others, under their own numbers.
struct Sheet<'a> {
    name: &'a str,
    text: String,
    lines: Vec<Line>,
}

struct Line {
    /// Bytes of the text, the line end with them.
    at: Range<usize>,
    number: usize,
    /// Characters left out before what is shown.
    cut: usize,
}

/// The files of one finding.
pub(super) struct Screen<'a>(Vec<Sheet<'a>>);

/// A place in a line, in characters, with what is said of it.
struct Spot {
    label: usize,
    from: usize,
    to: usize,
    words: usize,
}

impl<'a> Screen<'a> {
    /// Lays out the lines that `labels` point at and moves the labels to where
    /// they lie there. A place over several lines is told at the first.
    pub fn new(sources: &'a [Source], labels: &mut [Label<usize>]) -> Screen<'a> {
        let number = |label: &Label<usize>| sources[label.file_id].line_column(label.range.start).0;
        let digits = labels.iter().map(|l| number(l).to_string().len()).max().unwrap_or(1);
        // "34 | " stands before each line.
        let room = WIDTH - digits - 3;
        let sheets = sources.iter().enumerate().map(|(file, source)| {
            let mut at: Vec<(usize, usize)> = labels
                .iter()
                .enumerate()
                .filter(|(_, label)| label.file_id == file)
                .map(|(i, label)| (number(label), i))
                .collect();
            at.sort_unstable();
            Sheet::new(source, &at, labels, room)
        });
        Screen(sheets.collect())
    }

    fn sheet(&self, file: usize) -> Result<&Sheet<'a>, Error> {
        self.0.get(file).ok_or(Error::FileMissing)
    }

    fn line(&self, file: usize, index: usize) -> Result<&Line, Error> {
        let sheet = self.sheet(file)?;
        let max = sheet.lines.len().saturating_sub(1);
        sheet.lines.get(index).ok_or(Error::LineTooLarge { given: index, max })
    }
}

impl<'a> Sheet<'a> {
    fn new(source: &'a Source, at: &[(usize, usize)], labels: &mut [Label<usize>], room: usize) -> Sheet<'a> {
        let mut sheet = Sheet { name: source.name(), text: String::new(), lines: Vec::new() };
        for same in at.chunk_by(|a, b| a.0 == b.0) {
            let number = same[0].0;
            // Lines that are no neighbours are shown as such.
            if sheet.lines.last().is_some_and(|last| last.number + 1 < number) {
                sheet.push("", 0, 0);
                sheet.push("", 0, 0);
            }
            let start = line_start(source.text(), labels[same[0].1].range.start);
            let line: Vec<char> = clean(source.text()[start..].split('\n').next().unwrap_or("")).collect();
            let spots = same.iter().map(|(_, label)| {
                let range = &labels[*label].range;
                let column = |byte: usize| characters(&source.text()[start..], byte.saturating_sub(start));
                let words = labels[*label].message.chars().count();
                let from = column(range.start).min(line.len());
                // What is said of a long place stands behind its first part.
                let most = room.saturating_sub(words + 3).max(1);
                let to = column(range.end).clamp(from, line.len()).min(from + most);
                Spot { label: *label, from, to, words }
            });
            let spots: Vec<Spot> = spots.collect();
            let (shown, cut) = cut_to(&line, &spots[0], room);
            let before = sheet.text.len();
            sheet.push(&shown, number, cut);
            // A mark stands for what is cut away.
            let lead = if cut > 0 { '…'.len_utf8() } else { 0 };
            let most = shown.chars().count();
            for spot in spots {
                let place = |column: usize| {
                    let column = column.saturating_sub(cut).min(most);
                    let text = &shown[lead..];
                    before + lead + text.char_indices().nth(column).map_or(text.len(), |(i, _)| i)
                };
                labels[spot.label].range = place(spot.from)..place(spot.to);
            }
        }
        sheet
    }

    fn push(&mut self, line: &str, number: usize, cut: usize) {
        let start = self.text.len();
        self.text.push_str(line);
        self.text.push('\n');
        self.lines.push(Line { at: start..self.text.len(), number, cut });
    }
}

/// The part of a line that fits with the place and its words, and how many
/// characters it leaves out before.
fn cut_to(line: &[char], spot: &Spot, room: usize) -> (String, usize) {
    // The place, a blank, and what is said of it.
    let needed = spot.to.max(spot.from + 1) + 1 + spot.words;
    let cut = if needed <= room { 0 } else { (needed + 1 - room).min(spot.from) };
    let room = if cut > 0 { room - 1 } else { room };
    let mut shown = String::from(if cut > 0 { "…" } else { "" });
    let rest = &line[cut..];
    if rest.len() > room {
        shown.extend(&rest[..room - 1]);
        shown.push('…');
    } else {
        shown.extend(rest);
    }
    (shown, cut)
}

fn line_start(text: &str, byte: usize) -> usize {
    let before = text.get(..byte.min(text.len())).unwrap_or(text);
    before.rfind('\n').map_or(0, |i| i + 1)
}

/// Characters of `text` before `byte`.
fn characters(text: &str, byte: usize) -> usize {
    text.char_indices().take_while(|(i, _)| *i < byte).count()
}

/// Control and bidirectional characters of an untrusted file must not reach the
/// terminal, and those that take no cell or two would put the marks under the
/// wrong place; each is shown as a question mark. A finding names it.
pub(super) fn clean(line: &str) -> impl Iterator<Item = char> {
    line.trim_end_matches('\r').chars().map(|c| match c {
        '\t' => ' ',
        '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => '?',
        // Combining and zero width; then wide: East Asian blocks, pictures.
        '\u{300}'..='\u{36f}' | '\u{200b}'..='\u{200d}' | '\u{2028}'..='\u{2029}' => '?',
        '\u{2060}'..='\u{2065}' | '\u{20d0}'..='\u{20f0}' | '\u{fe00}'..='\u{fe6f}' | '\u{feff}' => '?',
        '\u{1100}'..='\u{115f}' | '\u{2e80}'..='\u{a4cf}' | '\u{ac00}'..='\u{d7a3}' => '?',
        '\u{f900}'..='\u{faff}' | '\u{ff00}'..='\u{ff60}' | '\u{ffe0}'..='\u{ffe6}' => '?',
        '\u{1f000}'.. => '?',
        c if c.is_control() => '?',
        c => c,
    })
}

impl<'a> Files<'a> for Screen<'a> {
    type FileId = usize;
    type Name = &'a str;
    type Source = &'a str;

    fn name(&'a self, file: usize) -> Result<&'a str, Error> {
        Ok(self.sheet(file)?.name)
    }

    fn source(&'a self, file: usize) -> Result<&'a str, Error> {
        Ok(&self.sheet(file)?.text)
    }

    fn line_index(&'a self, file: usize, byte: usize) -> Result<usize, Error> {
        let lines = &self.sheet(file)?.lines;
        Ok(lines.iter().rposition(|line| line.at.start <= byte).unwrap_or(0))
    }

    fn line_number(&'a self, file: usize, index: usize) -> Result<usize, Error> {
        Ok(self.line(file, index)?.number)
    }

    fn column_number(&'a self, file: usize, index: usize, byte: usize) -> Result<usize, Error> {
        let line = self.line(file, index)?;
        let shown = characters(&self.sheet(file)?.text[line.at.start..], byte.saturating_sub(line.at.start));
        // The mark of a cut is no character of the file.
        Ok(shown + line.cut + usize::from(line.cut == 0))
    }

    fn line_range(&'a self, file: usize, index: usize) -> Result<Range<usize>, Error> {
        Ok(self.line(file, index)?.at.clone())
    }
}
