//! Rehearsals as files: one document of everything (JSON, with a published schema), tables for spreadsheets and scripts (CSV), and
//! a document of another Windrow taken in. It brings records and formats together; it must know no pages and no SQL.

mod columns;
mod document;
mod gather;
mod nameless;
mod past;
mod read;
mod schema;
mod sheets;
mod take_in;

pub(crate) use columns::{Column, PULSES, RESULTS, columns_text};
pub(crate) use document::Document;
pub(crate) use gather::{CannotGather, document_of, rehearsal_ids};
pub(crate) use nameless::without_names;
pub(crate) use past::Past;
pub(crate) use read::{MAX_BYTES, read};
pub(crate) use schema::SCHEMA;
pub(crate) use sheets::{head, pulse_lines, result_lines};
pub(crate) use take_in::{CannotTakeIn, TakenIn, take_in};
