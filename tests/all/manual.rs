//! Completion scripts and manual pages name every command and option there is.

use crate::support::root;
use std::path::Path;
use std::process::Command;

fn cutback(args: &[&str], folder: &Path) -> String {
    let out =
        Command::new(env!("CARGO_BIN_EXE_cutback")).args(args).current_dir(folder).output().expect("a run");
    assert!(out.status.success(), "{args:?}: {}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).expect("text")
}

/// Commands as the help lists them.
fn commands() -> Vec<String> {
    let help = cutback(&["--help"], &root());
    let list = help.split("Commands:").nth(1).expect("commands").split("Options:").next().expect("options");
    let names = list.lines().filter(|l| l.starts_with("  ") && !l.starts_with("   "));
    let own = names.filter_map(|l| l.split_whitespace().next()).filter(|n| *n != "help");
    own.map(String::from).collect()
}

#[test]
fn every_shell_completes_every_command() {
    let names = commands();
    assert!(names.len() >= 10, "{names:?}");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = cutback(&["complete", shell], &root());
        for name in &names {
            assert!(script.contains(name.as_str()), "{shell}: {name}");
        }
        assert!(script.contains("remedies"), "{shell}: an option of check");
    }
}

#[test]
fn a_manual_page_for_every_command() {
    let dir = tempfile::tempdir().expect("a folder");
    cutback(&["manual", "--out", "man1"], dir.path());
    for name in commands() {
        let page =
            std::fs::read_to_string(dir.path().join(format!("man1/cutback-{name}.1"))).expect("a page");
        assert!(page.contains(".TH") && page.contains(&format!("cutback\\-{name}")), "{name}: {page}");
        let help = cutback(&[&name, "--help"], &root());
        let options = help.split_whitespace().filter(|w| w.starts_with("--") && w.len() > 2);
        for option in options.map(|w| w.trim_end_matches([',', '.', ':'])) {
            let words = option.replace('-', "\\-");
            assert!(page.contains(&words), "{name}: {option} is not in its page");
        }
    }
    let tool = cutback(&["manual"], dir.path());
    assert!(tool.contains("Exit codes: 0 could be issued"), "{tool}");
}
