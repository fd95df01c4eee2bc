//! What is cut out and what lists the frames: pocket card, label cards, photo
//! list, control schedule.

use super::fault::ProcedureFault;
use super::method::{Built, point_name};
use super::pack::NamedText;
use super::pages::{Card, Labels, PhotoRow, Photos, Pocket, PocketFigure, ScheduleRow};
use super::sequence::Procedures;
use super::words::Words;
use crate::facts::Sheet;

const PAPERS: &str = "templates/procedures/papers.yaml";
const PHASES: [&str; 3] = ["L1", "L2", "L3"];

pub(super) fn pocket(all: &Procedures, words: &Words) -> Result<Pocket, ProcedureFault> {
    let fault = |message: String| all.fault(PAPERS, "/pocket", message);
    let plain = |text: &str| words.plain(text).map_err(fault);
    let mut figures = Vec::new();
    for figure in &all.papers.pocket.figures {
        if words.applies(figure.when.as_deref()).map_err(fault)? {
            figures.push(PocketFigure {
                number: (figures.len() + 1).to_string(),
                name: figure.name.clone(),
                datum: plain(&figure.datum)?,
                text: plain(&figure.text)?,
                limits: plain(&figure.limits)?,
            });
        }
    }
    let mut extra = Vec::new();
    for line in &all.papers.pocket.extra {
        if words.applies(line.when.as_deref()).map_err(fault)? {
            extra.push(NamedText { name: line.name.clone(), text: plain(&line.text)? });
        }
    }
    Ok(Pocket { figures, extra })
}

/// Every frame of the pack, the clock's first.
pub(super) fn photos(all: &Procedures, built: &Built) -> Photos {
    let clock = &all.papers.clock;
    let mut rows = Vec::new();
    if built.steps().any(|s| s.id == clock.step) {
        rows.push(PhotoRow {
            number: "1".into(),
            point: "briefing".into(),
            text: clock.text.clone(),
            count: 1,
            phases: false,
            card: clock.card.clone(),
        });
    }
    for point in built.points() {
        for frame in point.frames.iter().filter(|f| f.count > 0) {
            rows.push(PhotoRow {
                number: (rows.len() + 1).to_string(),
                point: point_name(point),
                text: frame.text.clone(),
                count: frame.count,
                phases: frame.phases,
                card: frame.card.clone(),
            });
        }
    }
    Photos { total: rows.iter().map(|r| r.count).sum(), rows }
}

/// One card a stage, or a stage and phase.
///
/// # Errors
/// A stage whose wording is wrong: a fault of ours.
pub(super) fn labels(
    all: &Procedures,
    sheet: &Sheet,
    words: &Words,
    built: &Built,
    photos: &Photos,
) -> Result<Labels, ProcedureFault> {
    let job = format!("{} {}", sheet.text("job.number"), sheet.text("job.revision"));
    let end = sheet.text("job.end");
    let mut cards = Vec::new();
    for kind in &all.papers.cards {
        let rows: Vec<&PhotoRow> = photos.rows.iter().filter(|r| r.card == kind.id).collect();
        if rows.is_empty() {
            continue;
        }
        let stage = words.plain(&kind.stage).map_err(|message| all.fault(PAPERS, "/cards", message))?;
        let proves = |f: &super::pack::Frame| f.card == kind.id;
        let points: Vec<&str> =
            built.points().filter(|p| p.frames.iter().any(proves)).map(|p| p.short.as_str()).collect();
        let frames: Vec<&str> = rows.iter().map(|r| r.number.as_str()).collect();
        let phased = rows.iter().any(|r| r.phases);
        let boxes: Vec<String> =
            rows.iter().flat_map(|r| std::iter::repeat_n(r.number.clone(), shots(r, phased))).collect();
        let mut card = |id: String, phase: &str| {
            cards.push(Card {
                id,
                stage: stage.clone(),
                phase: phase.into(),
                frame: frames.join(", "),
                boxes: boxes.clone(),
                point: listed(&points),
                // Stage, phase and photographs stand on the card in large type.
                text: format!("{job} · {end}"),
            });
        };
        if phased {
            PHASES.iter().for_each(|phase| card(format!("{}-{phase}", kind.id), phase));
        } else {
            card(kind.id.clone(), "all");
        }
    }
    Ok(Labels { cards })
}

/// Numbers in order; three and more that follow each other as `23 to 28`.
fn listed(numbers: &[&str]) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut rest = numbers;
    while let Some(first) = rest.first() {
        let start = first.parse::<usize>().ok();
        let follows = |(i, n): (usize, &&str)| start.is_some_and(|s| n.parse() == Ok(s + i));
        let run = rest.iter().enumerate().take_while(|(i, n)| follows((*i, n))).count().max(1);
        if run > 2 {
            parts.push(format!("{first} to {}", rest[run - 1]));
        } else {
            parts.extend(rest[..run].iter().map(ToString::to_string));
        }
        rest = &rest[run..];
    }
    parts.join(", ")
}

/// How many pictures of a row one card lies in: its share where there is a card a
/// phase and a picture a phase, else all of them.
fn shots(row: &PhotoRow, phased: bool) -> usize {
    if phased && row.count.is_multiple_of(PHASES.len()) { row.count / PHASES.len() } else { row.count }
}

pub(super) fn schedule(built: &Built) -> Vec<ScheduleRow> {
    built
        .points()
        .map(|point| ScheduleRow {
            short: point.short.clone(),
            letter: point.letter.clone(),
            title: point.title.clone(),
            stop: point.stop.clone(),
            after: format!("step {}", point.step),
            released_by: point.by.clone(),
            frames: point.frames.iter().map(|f| f.count).sum::<usize>().to_string(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_follow_each_other_are_one_entry() {
        assert_eq!(listed(&["5", "6"]), "5, 6");
        assert_eq!(listed(&["1", "3", "4", "5", "9"]), "1, 3 to 5, 9");
        assert_eq!(listed(&["23", "24", "25", "26", "27", "28"]), "23 to 28");
        assert_eq!(listed(&["a", "b"]), "a, b");
        assert_eq!(listed(&[]), "");
    }
}
