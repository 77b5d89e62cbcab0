//! The published JSON Schema of a rehearsal's file. Pure.

/// JSON Schema, draft 2020-12.
pub(crate) const SCHEMA: &str = include_str!("../../records/session.schema.json");
