//! Many files at a time: several are worked on at once, their results come in
//! the order of the files, and no more than a few wait for their turn, so that
//! ten thousand take no more memory than ten.

use signal_hook::consts::TERM_SIGNALS;
use signal_hook::flag;
use std::collections::BTreeMap;
use std::num::NonZero;
use std::path::PathBuf;
use std::str::FromStr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, LazyLock, Mutex, MutexGuard, Once, PoisonError};

/// Results that may wait for their turn, a worker.
const AHEAD: usize = 4;

/// A part of a list: `2/5` is every fifth file, from the second on, whatever
/// the machine and whoever does the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    nth: usize,
    of: usize,
}

impl FromStr for Share {
    type Err = String;

    fn from_str(text: &str) -> Result<Share, String> {
        let parts = text.split_once('/').and_then(|(n, of)| Some((n.parse().ok()?, of.parse().ok()?)));
        match parts {
            Some((nth, of)) if 1 <= nth && nth <= of => Ok(Share { nth, of }),
            _ => Err("write it N/OF, like 2/5 for the second of five shares".into()),
        }
    }
}

impl Share {
    /// Which share, and of how many.
    pub fn part(self) -> (usize, usize) {
        (self.nth, self.of)
    }

    /// The files of this share.
    pub fn of(share: Option<Share>, files: Vec<PathBuf>) -> Vec<PathBuf> {
        let Some(Share { nth, of }) = share else { return files };
        files.into_iter().skip(nth - 1).step_by(of).collect()
    }
}

/// Set by an interrupt; what is being worked on is finished, nothing new begun.
static STOP: LazyLock<Arc<AtomicBool>> = LazyLock::new(Arc::default);

/// Takes an interrupt as the wish to stop after the files in hand. A second one
/// ends the process at once; what it leaves behind is swept by the next run.
pub fn stop_on_interrupt() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        for signal in TERM_SIGNALS {
            // Without a handler an interrupt ends the process at once, as ever.
            let _ = flag::register_conditional_shutdown(*signal, 130, STOP.clone())
                .and_then(|_| flag::register(*signal, STOP.clone()));
        }
    });
}

struct Desk<T> {
    next: usize,
    /// First result not yet handed over.
    turn: usize,
    ready: BTreeMap<usize, T>,
    /// A worker broke down: nobody waits for its result.
    broken: bool,
}

/// Works on `items` with as many workers as asked, or as there are cores, and
/// hands each result over in order. Says how many were handed over: fewer than
/// there are after an interrupt.
pub fn in_order<I: Sync, T: Send>(
    items: &[I],
    workers: Option<NonZero<usize>>,
    work: impl Fn(&I) -> T + Sync,
    mut hand_over: impl FnMut(&I, T),
) -> usize {
    let cores = || std::thread::available_parallelism().map_or(1, NonZero::get);
    let workers = workers.map_or_else(cores, NonZero::get).min(items.len());
    let desk = Mutex::new(Desk { next: 0, turn: 0, ready: BTreeMap::new(), broken: false });
    let moved = Condvar::new();
    if workers <= 1 {
        let stopped = |_: &&I| !STOP.load(Ordering::SeqCst);
        return items.iter().take_while(stopped).map(|item| hand_over(item, work(item))).count();
    }
    std::thread::scope(|scope| {
        for _ in 0..workers {
            scope.spawn(|| {
                let mut bell = Bell { desk: &desk, moved: &moved, whole: false };
                while let Some(at) = take(&desk, &moved, items.len(), AHEAD * workers) {
                    let result = work(&items[at]);
                    lock(&desk).ready.insert(at, result);
                    moved.notify_all();
                }
                bell.whole = true;
            });
        }
        for (at, item) in items.iter().enumerate() {
            let mut held = lock(&desk);
            let result = loop {
                if let Some(result) = held.ready.remove(&at) {
                    break result;
                }
                if held.broken || (STOP.load(Ordering::SeqCst) && held.next <= at) {
                    return at;
                }
                held = moved.wait(held).unwrap_or_else(PoisonError::into_inner);
            };
            held.turn = at + 1;
            drop(held);
            moved.notify_all();
            hand_over(item, result);
        }
        items.len()
    })
}

fn lock<T>(desk: &Mutex<Desk<T>>) -> MutexGuard<'_, Desk<T>> {
    desk.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The next item to work on, once there is room for its result.
fn take<T>(desk: &Mutex<Desk<T>>, moved: &Condvar, items: usize, ahead: usize) -> Option<usize> {
    let mut held = lock(desk);
    loop {
        if held.next == items || held.broken || STOP.load(Ordering::SeqCst) {
            return None;
        }
        if held.next < held.turn + ahead {
            held.next += 1;
            return Some(held.next - 1);
        }
        held = moved.wait(held).unwrap_or_else(PoisonError::into_inner);
    }
}

/// Wakes whoever waits when a worker leaves, and tells of one that broke down.
struct Bell<'a, T> {
    desk: &'a Mutex<Desk<T>>,
    moved: &'a Condvar,
    whole: bool,
}

impl<T> Drop for Bell<'_, T> {
    fn drop(&mut self) {
        if !self.whole {
            lock(self.desk).broken = true;
        }
        self.moved.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::{Share, in_order};
    use std::num::NonZero;
    use std::path::PathBuf;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn results_come_in_order_and_few_wait() {
        let items: Vec<usize> = (0..500).collect();
        let (begun, handed) = (AtomicUsize::new(0), AtomicUsize::new(0));
        let workers = NonZero::new(3);
        let mut seen = Vec::new();
        let most = AtomicUsize::new(0);
        let count = in_order(
            &items,
            workers,
            |item| {
                let waiting = begun.fetch_add(1, Ordering::SeqCst) + 1 - handed.load(Ordering::SeqCst);
                most.fetch_max(waiting, Ordering::SeqCst);
                // The first of each ten takes longest.
                std::thread::sleep(std::time::Duration::from_micros(if item % 10 == 0 { 900 } else { 10 }));
                item * 2
            },
            |item, double| {
                handed.fetch_add(1, Ordering::SeqCst);
                seen.push((*item, double));
            },
        );
        assert_eq!(count, 500);
        assert!(seen.iter().enumerate().all(|(i, (item, double))| *item == i && *double == 2 * i));
        // Those waiting, and one just handed over.
        assert!(most.load(Ordering::SeqCst) <= 3 * super::AHEAD + 1, "{most:?}");
    }

    #[test]
    #[should_panic(expected = "a scoped thread panicked")]
    fn a_worker_that_breaks_down_is_told_and_not_waited_for() {
        let items: Vec<usize> = (0..20).collect();
        in_order(&items, NonZero::new(2), |item| assert!(*item != 7, "broken"), |_, ()| {});
    }

    #[test]
    fn shares_are_every_file_once() {
        let files: Vec<PathBuf> = (0..17).map(|i| PathBuf::from(format!("{i}.yaml"))).collect();
        let mut all: Vec<PathBuf> =
            (1..=5).flat_map(|nth| Share::of(format!("{nth}/5").parse().ok(), files.clone())).collect();
        assert_eq!(Share::of("2/5".parse().ok(), files.clone())[..2], [files[1].clone(), files[6].clone()]);
        all.sort();
        let mut sorted = files.clone();
        sorted.sort();
        assert_eq!(all, sorted);
        assert_eq!(Share::of(None, files.clone()), files);
        for bad in ["0/5", "6/5", "1", "a/b", "-1/2", "1/0", ""] {
            assert!(bad.parse::<Share>().is_err(), "{bad}");
        }
    }
}
