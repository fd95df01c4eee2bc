//! A fault in our own wording files: never the job's.

use std::fmt;

/// What is wrong in a procedure file, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProcedureFault {
    pub file: String,
    pub line: usize,
    pub message: String,
}

impl ProcedureFault {
    pub(super) fn new(file: &str, line: usize, message: impl Into<String>) -> Self {
        ProcedureFault { file: file.to_string(), line, message: message.into() }
    }
}

impl fmt::Display for ProcedureFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the procedure file {} line {}: {}", self.file, self.line, self.message)
    }
}

impl std::error::Error for ProcedureFault {}
