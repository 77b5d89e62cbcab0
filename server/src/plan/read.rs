//! A plan from text and back into complaints: what is wrong, where, and what may stand there. Pure; knows no files.

use super::check::{sense_of_exercise, sense_of_plan};
use super::complaint::Complaint;
use super::limits::{MAX_COMPLAINTS, OF_EXERCISE, OF_PLAN, beyond, unwritten};
use super::model::{Exercise, FORMAT, Plan, VERSION};
use super::place::{Place, of_exercise};
use super::wording::{of_decoding, of_syntax};
use serde::de::DeserializeOwned;
use serde_json::Value;
use windrow_protocol::phrase::Phrase;

/// Longest file, bytes; the built-in plans have less than a hundredth of it.
pub(crate) const MAX_BYTES: usize = 1024 * 1024;

/// Why a text is no plan: everything that was found. Shows itself as the command line and the log say it, a line each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct BadPlan(Vec<Complaint>);

impl BadPlan {
    /// Everything that was found, each with its place.
    pub(crate) fn found(&self) -> &[Complaint] {
        &self.0
    }

    fn one(text: Phrase) -> Self {
        Self(vec![Complaint::of_plan(&Place::default(), text)])
    }
}

impl std::fmt::Display for BadPlan {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let lines: Vec<String> = self.0.iter().map(Complaint::to_string).collect();
        f.write_str(&lines.join("\n"))
    }
}

impl std::error::Error for BadPlan {}

/// Reads a plan and checks it.
///
/// # Errors
/// [`BadPlan`] with everything that is wrong; where the signs themselves cannot be read, with the first place.
pub(crate) fn read(text: &str) -> Result<Plan, BadPlan> {
    if text.len() > MAX_BYTES {
        let too_big = Phrase::of("plan-too-big").with("kib", text.len() / 1024);
        return Err(BadPlan::one(too_big.with("most", MAX_BYTES / 1024)));
    }
    // Some editors begin a file with this sign.
    let text = text.trim_start_matches('\u{feff}');
    let syntax = |error| BadPlan::one(of_syntax(text, &error));
    if text.trim().is_empty() {
        return Err(BadPlan::one(Phrase::of("plan-empty-file")));
    }
    if text.trim_start().starts_with('<') {
        return Err(BadPlan::one(Phrase::of("plan-is-xml")));
    }
    let value: Value = serde_json::from_str(text).map_err(syntax)?;
    is_of_this_kind(&value)?;
    let complaints = all_complaints(&value);
    if !complaints.is_empty() {
        return Err(BadPlan(complaints));
    }
    // Once more from the text, which still knows of names that stand twice.
    serde_json::from_str(text).map_err(syntax)
}

fn is_of_this_kind(value: &Value) -> Result<(), BadPlan> {
    if value.get("format").and_then(Value::as_str) != Some(FORMAT) {
        let wrong = match value.get("format") {
            _ if !value.is_object() => Phrase::of("plan-is-none"),
            Some(other) => Phrase::of("plan-other-format").with("is", other.to_string()),
            None => Phrase::of("plan-no-format"),
        };
        let begins = format!("\"format\": \"{FORMAT}\", \"version\": {VERSION}");
        return Err(BadPlan::one(wrong.with("begins", begins)));
    }
    match value.get("version") {
        None => Err(BadPlan::one(Phrase::of("plan-no-version").with("version", VERSION))),
        Some(version) => match version.as_u64() {
            Some(newer) if newer > u64::from(VERSION) => {
                let text = Phrase::of("plan-newer").with("is", newer.to_string());
                Err(BadPlan::one(text.with("version", VERSION)))
            }
            Some(1..) => Ok(()),
            _ => {
                let text = Phrase::of("plan-other-version").with("is", version.to_string());
                Err(BadPlan::one(text.with("version", VERSION)))
            }
        },
    }
}

/// What can be said of every part of the plan by itself, and what the parts mean together where they can be read.
fn all_complaints(value: &Value) -> Vec<Complaint> {
    let mut found = Vec::new();
    let mut head = value.clone();
    let exercises = match head.get_mut("exercises") {
        Some(Value::Array(list)) => std::mem::take(list),
        _ => Vec::new(),
    };
    let mut beyond_plan = beyond(OF_PLAN, value);
    beyond_plan.extend(unwritten(&head));
    let is_plan_within = beyond_plan.is_empty();
    found.extend(beyond_plan.into_iter().map(|(place, text)| Complaint::of_plan(&place, text)));
    match decoded::<Plan>(head) {
        Ok(plan) => found.extend(sense_of_plan(&plan)),
        // The same number twice helps nobody.
        Err((place, text)) if is_plan_within => found.push(Complaint::of_plan(&place, text)),
        Err(_) => {}
    }
    for (i, exercise) in exercises.into_iter().enumerate() {
        if found.len() >= MAX_COMPLAINTS {
            break;
        }
        let name = of_exercise(i, &exercise);
        let complaint = |(place, text)| Complaint::of_exercise(i, &name, &place, text);
        let mut too_much = beyond(OF_EXERCISE, &exercise);
        too_much.extend(unwritten(&exercise));
        let is_within = too_much.is_empty();
        found.extend(too_much.into_iter().map(complaint));
        if is_within {
            match decoded::<Exercise>(exercise) {
                Ok(exercise) => found.extend(sense_of_exercise(&exercise).into_iter().map(complaint)),
                Err(wrong) => found.push(complaint(wrong)),
            }
        }
    }
    found.truncate(MAX_COMPLAINTS);
    found
}

fn decoded<T: DeserializeOwned>(value: Value) -> Result<T, (Place, Phrase)> {
    serde_path_to_error::deserialize(value)
        .map_err(|error| of_decoding(Place::from(error.path()), &error.inner().to_string()))
}
