//! The last connection in time: palms put back, then tightened, then the gaps measured.

use super::item::Item;
use super::points::name;
use super::view::{View, minutes};
use crate::procedure::FormPoint;
use jiff::Timestamp;

/// Points at which gaps are measured for good: in a box, outdoors, on an end that is
/// kept after an inspection.
const SPACING: [&str; 3] = ["final_gaps", "gaps_outdoor", "kept_gaps"];

pub(super) fn facts(view: &View, item: &mut Item) {
    let torque = view.point("terminal_torque");
    let spacing = SPACING.into_iter().find_map(|id| view.point(id));
    item.yes("record.has_spacing", Some(torque.is_some() && spacing.is_some()), "points");
    let (Some(torque), Some(spacing)) = (torque, spacing) else { return };
    let (back, back_at, here) = palms(view, torque);
    let spacing_at = format!("points.{}.released", spacing.id);
    let whose = if here { "of this end" } else { "not said" };
    item.word("palms.back", back, &back_at).word("palms.whose", Some(whose.into()), &back_at).word(
        "spacing.order",
        order(view, torque, spacing),
        &spacing_at,
    );
    let early = early(view, torque, spacing);
    let early_at = early.as_ref().map_or_else(|| format!("points.{}.asked", torque.id), |e| e.at.clone());
    item.number("spacing.minutes_early", early.as_ref().map(|e| e.minutes), "min", &early_at).word(
        "spacing.early",
        early.map(|e| e.words),
        &early_at,
    );
}

/// Whether an item of the disconnection list, in the planner's own words, is palms.
pub(in crate::record) fn is_palms(item: &str) -> bool {
    item.to_lowercase().contains("palm")
}

/// Palms that went back on their studs after the torque was released, the place of their
/// time, and whether the record says that they are this end's: then the last of them
/// counts. Where it does not say, the list may name palms of the far end too: the first to
/// go back stands for this end, so that a far end closed later asks nothing.
fn palms(view: &View, torque: &FormPoint) -> (Option<String>, String, bool) {
    let named = |at: &str| view.text(&format!("{at}.item")).filter(|t| is_palms(t));
    let here = |at: &str| view.yes(&format!("{at}.here"));
    let mut listed: Vec<(String, String)> = (0..view.record.count("disconnected").unwrap_or(0))
        .map(|i| format!("disconnected.{i}"))
        .filter(|at| here(at) != Some(false))
        .filter_map(|at| Some((named(&at)?, at)))
        .collect();
    let own = listed.iter().any(|(_, at)| here(at) == Some(true));
    listed.retain(|(_, at)| !own || here(at) == Some(true));
    let listed: Vec<_> = listed.into_iter().map(|(palms, at)| (palms, format!("{at}.back"))).collect();
    let Some((_, at)) = listed.first() else { return (Some("none".into()), "disconnected".into(), own) };
    let back: Option<Vec<_>> = listed.iter().map(|(palms, at)| Some((view.time(at)?, palms, at))).collect();
    let back = back.map(Vec::into_iter);
    let one = if own {
        back.and_then(|all| all.max_by_key(|(time, ..)| *time))
    } else {
        back.and_then(|all| all.min_by_key(|(time, ..)| *time))
    };
    let tight = view.releases(torque).into_iter().filter_map(|(_, t)| t).min();
    let (Some((back, palms, at)), Some(tight)) = (one, tight) else { return (None, at.clone(), own) };
    let words = if back > tight {
        format!(
            "{palms} put back {}, and {} was released {}",
            view.show(back),
            name(torque),
            view.show(tight)
        )
    } else {
        "none".into()
    };
    (Some(words), at.clone(), own)
}

/// When the last palm of this end, by the record's own word, was back on its stud.
pub(super) fn back_here(view: &View) -> Option<(Timestamp, String)> {
    let listed = (0..view.record.count("disconnected").unwrap_or(0)).map(|i| format!("disconnected.{i}"));
    let own = listed.filter(|at| view.yes(&format!("{at}.here")) == Some(true)).filter_map(|at| {
        let palms = view.text(&format!("{at}.item")).filter(|t| is_palms(t))?;
        Some((view.time(&format!("{at}.back"))?, format!("{palms} were put back")))
    });
    own.max_by_key(|(time, _)| *time)
}

/// The first release of the gaps against the last of the torque: a core that is bolted
/// up later moves the gaps of its neighbours too. Nothing while a palm is not released.
fn order(view: &View, torque: &FormPoint, spacing: &FormPoint) -> Option<String> {
    let tight = view.released(torque)?;
    let measured = view.releases(spacing).into_iter().filter_map(|(_, t)| t).min()?;
    Some(if measured < tight {
        format!(
            "{} was released {}, and {} {}",
            name(spacing),
            view.show(measured),
            name(torque),
            view.show(tight)
        )
    } else {
        "after it".into()
    })
}

struct Early {
    minutes: f64,
    words: String,
    /// The time that it was read from.
    at: String,
}

/// The first time at which the gaps were photographed or their release asked for,
/// against the time at which the palms were called tight.
fn early(view: &View, torque: &FormPoint, spacing: &FormPoint) -> Option<Early> {
    let tight = view.time(&format!("points.{}.asked", torque.id))?;
    let asked = format!("points.{}.asked", spacing.id);
    let pictures = (0..view.record.count("photos").unwrap_or(0)).filter_map(|i| {
        let frame = view.text(&format!("photos.{i}.frame"))?;
        let of = view.pack.form.frames.iter().find(|f| super::view::same(&f.id, &frame))?;
        let at = format!("photos.{i}.taken");
        (of.point == spacing.id)
            .then(|| view.time(&at).map(|t| (t, format!("frame {} was taken", of.id), at)))?
    });
    let asking = view.time(&asked).map(|t| (t, format!("{} was asked for", name(spacing)), asked));
    let seen: Vec<(Timestamp, String, String)> = pictures.chain(asking).collect();
    let (time, what, at) = seen.into_iter().min_by_key(|(time, ..)| *time)?;
    let before = minutes(time, tight).max(0.0);
    let words =
        format!("{what} {}, and {} was asked for {}", view.show(time), name(torque), view.show(tight));
    Some(Early { minutes: before, words, at })
}
