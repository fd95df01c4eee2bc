//! The binary: everything happens in the library.

/// The typesetter asks for memory some two million times a pack, and two packs are set at a
/// time: the system's allocator takes a quarter longer for a batch.
#[cfg(not(target_env = "msvc"))]
#[global_allocator]
static MEMORY: tikv_jemallocator::Jemalloc = tikv_jemallocator::Jemalloc;

fn main() -> std::process::ExitCode {
    cutback::cli::main()
}
