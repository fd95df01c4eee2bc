//! The binary: everything happens in the library.

/// Pages are many small allocations; this one is quicker with them than the system's.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    cutback::cli::main()
}
