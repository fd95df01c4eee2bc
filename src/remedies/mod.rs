//! Ways out of a box that does not fit, for whole jobs.
//!
//! The search over geometry is [`calc`](crate::calc)'s; here a setting becomes a
//! changed job file, and counts only when the rules of the enclosure pass and no
//! other rule weighs worse than before. The job file itself is never touched,
//! and nothing is issued: the planner looks, chooses, and answers for it.

mod changes;
mod edit;
mod lift;
mod offer;
mod report;
mod ways;
mod write;

pub use edit::{Change, append, apply, comment_lines, quoted};
pub use report::{
    Compared, FigureLine, NotOffered, Outcome, Refused, RejectedWay, RemedyReport, WayOut, figure_words,
};
pub use ways::{Way, Ways};
pub use write::{Points, written};

use crate::calc;
use crate::facts::Sheet;
use crate::finding::Judgement;
use crate::job::{Job, Library};
use crate::rules::RuleBook;
use lift::Desk;

/// A judged job and what it was judged with.
pub struct Request<'a> {
    /// Name of the job file, and its text.
    pub file: &'a str,
    pub text: &'a str,
    pub job: &'a Job,
    pub sheet: &'a Sheet,
    pub judgement: &'a Judgement,
    pub library: &'a Library,
    pub book: &'a RuleBook,
    pub ways: &'a Ways,
}

/// Searches the lightest way out of one job.
pub fn search(request: &Request<'_>) -> RemedyReport {
    if let Some(held) = held_back(request) {
        return RemedyReport::not_searched(held);
    }
    let offer = match offer::offer(request) {
        Ok(offer) => offer,
        Err(why) => return RemedyReport::not_searched(why),
    };
    let mut desk = Desk::new(request, &offer);
    match calc::remedy_search_where(&offer.input, |set, tried| desk.serves(set, tried)) {
        Ok(found) => report::report(request, &offer, &desk, &found),
        Err(refusal) => RemedyReport::not_searched(refusal.to_string()),
    }
}

/// Why the box rules were not asked at all.
fn held_back(request: &Request<'_>) -> Option<String> {
    let held = request
        .judgement
        .left_out
        .iter()
        .find(|l| request.ways.must_pass.contains(&l.code) && l.why.starts_with("held back"))?;
    Some(format!("{} was {}; choose a kit of the right class first", held.code, held.why))
}
