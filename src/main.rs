//! The binary: everything happens in the library.

fn main() -> std::process::ExitCode {
    cutback::cli::main()
}
