//! Tests of the rules of a rehearsal.
