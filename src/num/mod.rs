//! Our own elementary functions and small numerical tools, so that the same bits come out of every entry point.
