//! How far a long run has come: one line on standard error, wiped before
//! anything else is written, and nothing at all where no one looks.

use std::io::{IsTerminal, Write};
use std::path::Path;

/// So many files are done before anyone wonders.
const FEW: usize = 3;
const WIDTH: usize = 78;

/// The line of one run.
pub struct Progress {
    total: usize,
    done: usize,
    shown: bool,
    line: String,
}

impl Progress {
    /// Progress over `total` files, shown on a terminal only.
    pub fn new(total: usize) -> Progress {
        // A dumb terminal can't wipe a line.
        let dumb = std::env::var_os("TERM").is_none_or(|term| term == "dumb");
        let shown = total > FEW && !dumb && std::io::stderr().is_terminal();
        Progress { total, done: 0, shown, line: String::new() }
    }

    /// The file that is taken up now.
    pub fn next(&mut self, path: &Path) {
        self.done += 1;
        self.line = line(self.done, self.total, path);
        self.again();
    }

    /// So many files are done, several at a time.
    pub fn reached(&mut self, done: usize) {
        self.done = done;
        self.line = format!("{done} of {} files", self.total);
        self.again();
    }

    /// Shows the line again, after results were written.
    pub fn again(&self) {
        if self.shown {
            write(&format!("\r\x1b[K{}", self.line));
        }
    }

    /// Wipes the line, before results are written.
    pub fn wipe(&self) {
        if self.shown {
            write("\r\x1b[K");
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.wipe();
    }
}

/// `12 of 340  jobs/demo/D-2201-P4.yaml`, the end of a long path.
fn line(done: usize, total: usize, path: &Path) -> String {
    let head = format!("{done} of {total}  ");
    // A file name may hold anything; on the terminal it does nothing.
    let name: Vec<char> =
        path.display().to_string().chars().map(|c| if c.is_control() { '?' } else { c }).collect();
    let room = WIDTH - head.len();
    let cut = name.len().saturating_sub(room);
    let tail: String = if cut == 0 {
        name.into_iter().collect()
    } else {
        std::iter::once('…').chain(name.into_iter().skip(cut + 1)).collect()
    };
    head + &tail
}

fn write(text: &str) {
    let mut err = std::io::stderr().lock();
    let _ = err.write_all(text.as_bytes()).and_then(|()| err.flush());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_fits_the_screen_and_does_nothing_to_it() {
        assert_eq!(line(3, 40, Path::new("jobs/a.yaml")), "3 of 40  jobs/a.yaml");
        let long = line(12, 340, Path::new(&format!("{}/\u{1b}[2J/end.yaml", "deep/".repeat(60))));
        assert_eq!(long.chars().count(), WIDTH);
        assert!(long.starts_with("12 of 340  …") && long.ends_with("?[2J/end.yaml"), "{long}");
    }
}
