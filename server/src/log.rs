//! The log: lines on standard error, as text or as JSON, for whoever looks after the program. It names nobody: no name, no address of a device,
//! no code, key or token, nothing that anybody has written. That is why other crates are heard in their warnings alone, whatever is
//! asked for: at finer levels they tell what goes over the wire. A value takes one line and moves no terminal.

use crate::clock::unix_ms;
use crate::roster::dates::to_the_ms;
use serde_json::{Map, Value};
use std::fmt::{self, Write as _};
use std::io::Write as _;
use tracing::field::{Field, Visit};
use tracing::level_filters::LevelFilter;
use tracing::{Event, Level, Subscriber};
use tracing_subscriber::Layer;
use tracing_subscriber::filter::{FilterFn, Targets, filter_fn};
use tracing_subscriber::layer::{Context, SubscriberExt};
use tracing_subscriber::util::SubscriberInitExt;

/// Which levels are said if nobody chooses: standard error is also where people read what went wrong. The decoder of sound says nothing
/// that `measure` does not say in plain words, and slow statements help nobody here.
const USUAL: &str = "warn,symphonia=off,sqlx::query=off";

/// How a line is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum LogFormat {
    /// For people.
    Text,
    /// One object a line, for programs: `time`, `level`, `target`, `message`, `fields`.
    Json,
}

/// Sends the log to standard error. `WINDROW_LOG` chooses what is said, such as `windrow=debug`.
pub fn to_stderr(format: LogFormat) {
    let asked = std::env::var("WINDROW_LOG").ok();
    let (filter, is_unreadable) = match asked.as_deref().unwrap_or(USUAL).parse() {
        Ok(targets) => (levels(targets), false),
        Err(_) => (levels(USUAL.parse().expect("our own levels can be read")), true),
    };
    let lines =
        Lines { format, write: |line: &str| drop(std::io::stderr().lock().write_all(line.as_bytes())) };
    // Fails only where a log is there already, as in a test.
    let _ = tracing_subscriber::registry().with(lines.with_filter(filter)).try_init();
    if is_unreadable {
        tracing::warn!(
            "WINDROW_LOG cannot be read, so warnings alone are said: try \"info\" or \"windrow=debug\""
        );
    }
}

/// Tells of a panic in a line of the log. What it would say is left out unless the program's own source says it, since a value in it may
/// be anybody's; with `RUST_BACKTRACE` set everything is printed as usual, for whoever looks for the fault.
pub fn note_panics() {
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        let at = panic.location().map(ToString::to_string).unwrap_or_default();
        let why = panic.payload().downcast_ref::<&'static str>().copied().unwrap_or("left out");
        tracing::error!(at, why, "a part of the program broke off");
        if std::env::var_os("RUST_BACKTRACE").is_some() {
            usual(panic);
        }
    }));
}

/// Lets through what is asked for, of other crates warnings at most.
fn levels(asked: Targets) -> FilterFn<impl Fn(&tracing::Metadata<'_>) -> bool> {
    let named = asked.iter().map(|(_, level)| level);
    let finest = named.chain(asked.default_level()).max().unwrap_or(LevelFilter::OFF);
    filter_fn(move |about| {
        let is_ours = about.target().starts_with("windrow");
        (is_ours || *about.level() <= Level::WARN) && asked.would_enable(about.target(), about.level())
    })
    .with_max_level_hint(finest)
}

/// Writes every event as a line.
struct Lines<W> {
    format: LogFormat,
    write: W,
}

impl<S: Subscriber, W: Fn(&str) + 'static> Layer<S> for Lines<W> {
    fn on_event(&self, event: &Event<'_>, _: Context<'_, S>) {
        let mut said = Said::default();
        event.record(&mut said);
        let about = event.metadata();
        (self.write)(&line(self.format, unix_ms(), *about.level(), about.target(), said));
    }
}

/// What an event says.
#[derive(Debug, Default)]
struct Said {
    message: String,
    fields: Map<String, Value>,
}

impl Said {
    fn note(&mut self, field: &Field, value: Value) {
        self.fields.insert(field.name().to_owned(), value);
    }
}

impl Visit for Said {
    fn record_f64(&mut self, field: &Field, value: f64) {
        self.note(field, value.into());
    }

    fn record_i64(&mut self, field: &Field, value: i64) {
        self.note(field, value.into());
    }

    fn record_u64(&mut self, field: &Field, value: u64) {
        self.note(field, value.into());
    }

    fn record_bool(&mut self, field: &Field, value: bool) {
        self.note(field, value.into());
    }

    fn record_str(&mut self, field: &Field, value: &str) {
        self.note(field, value.into());
    }

    fn record_debug(&mut self, field: &Field, value: &dyn fmt::Debug) {
        let text = format!("{value:?}");
        if field.name() == "message" {
            self.message = text;
        } else {
            self.note(field, text.into());
        }
    }
}

fn line(format: LogFormat, now_ms: i64, level: Level, target: &str, said: Said) -> String {
    let time = to_the_ms(now_ms);
    let mut line = match format {
        LogFormat::Json => {
            let object = serde_json::json!({
                "time": time,
                "level": level.as_str(),
                "target": target,
                "message": said.message,
                "fields": said.fields,
            });
            escaped_json(&object.to_string())
        }
        LogFormat::Text => {
            let mut line = format!("{time} {level:>5} {target}: ");
            push_escaped(&mut line, &said.message);
            for (name, value) in &said.fields {
                line.push_str(&format!(" {name}="));
                match value {
                    Value::String(text) => {
                        line.push('"');
                        push_escaped(&mut line, text);
                        line.push('"');
                    }
                    other => line.push_str(&other.to_string()),
                }
            }
            line
        }
    };
    line.push('\n');
    line
}

/// Signs that end a line, move a terminal's cursor or turn the direction of what follows.
fn is_unsafe_to_show(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}' | '\u{61c}')
}

fn push_escaped(line: &mut String, text: &str) {
    for c in text.chars() {
        if is_unsafe_to_show(c) || matches!(c, '"' | '\\') {
            line.extend(c.escape_default());
        } else {
            line.push(c);
        }
    }
}

/// JSON's own rules let some of those signs through (RFC 8259, section 7); outside of strings there are none.
fn escaped_json(json: &str) -> String {
    let mut escaped = String::with_capacity(json.len());
    for c in json.chars() {
        if is_unsafe_to_show(c) {
            // All of them lie in Unicode's first plane.
            let _ = write!(escaped, "\\u{:04x}", u32::from(c));
        } else {
            escaped.push(c);
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::{Arc, Mutex};

    /// What a log says while something happens.
    fn logged(format: LogFormat, asked: &str, happens: impl FnOnce()) -> String {
        let said = Arc::new(Mutex::new(String::new()));
        let into = said.clone();
        let lines = Lines { format, write: move |line: &str| into.lock().unwrap().push_str(line) };
        let subscriber =
            tracing_subscriber::registry().with(lines.with_filter(levels(asked.parse().unwrap())));
        tracing::subscriber::with_default(subscriber, happens);
        let said = said.lock().unwrap();
        said.clone()
    }

    const NASTY: &str = "a\nb\r\u{1b}[31mred\u{9b}2J\u{2028}\u{202e}\"quoted\\ ü";

    #[test]
    fn a_value_takes_one_line_of_text_and_moves_no_terminal() {
        let said = logged(LogFormat::Text, "info", || {
            tracing::info!(error = NASTY, n = 3, is_so = true, "it {NASTY}");
        });
        assert_eq!(said.matches('\n').count(), 1);
        assert!(said.ends_with('\n'));
        assert!(!said.trim_end_matches('\n').chars().any(is_unsafe_to_show), "{said:?}");
        let expected = r#"a\nb\r\u{1b}[31mred\u{9b}2J\u{2028}\u{202e}\"quoted\\ ü"#;
        assert!(said.contains(&format!("error=\"{expected}\"")), "{said}");
        assert!(
            said.contains("n=3")
                && said.contains("is_so=true")
                && said.contains(&format!(": it {expected} "))
        );
        assert!(said[24..].starts_with("  INFO windrow::log::tests: "), "{said}");
    }

    #[test]
    fn a_line_of_json_comes_back_as_it_was_and_is_one_line() {
        let said = logged(LogFormat::Json, "trace", || {
            tracing::warn!(error = %NASTY, wait_s = 2.5, level = "a field of that name", "it {NASTY}");
        });
        assert_eq!(said.matches('\n').count(), 1);
        assert!(!said.trim_end_matches('\n').chars().any(is_unsafe_to_show), "{said:?}");
        let object: Value = serde_json::from_str(&said).unwrap();
        assert_eq!(object["message"], format!("it {NASTY}"));
        assert_eq!((&object["level"], &object["target"]), (&"WARN".into(), &"windrow::log::tests".into()));
        let fields = serde_json::json!({"error": NASTY, "wait_s": 2.5, "level": "a field of that name"});
        assert_eq!(object["fields"], fields);
        assert!(object["time"].as_str().unwrap().ends_with('Z'));
    }

    #[test]
    fn other_crates_are_heard_in_their_warnings_alone() {
        let said = logged(LogFormat::Text, "trace", || {
            tracing::trace!("ours, fine");
            tracing::trace!(target: "tungstenite::protocol", "theirs, fine");
            tracing::info!(target: "hyper", "theirs, coarser");
            tracing::warn!(target: "hyper", "theirs, a warning");
        });
        assert!(said.contains("ours, fine") && said.contains("theirs, a warning"));
        assert_eq!(said.lines().count(), 2, "{said}");
    }

    #[test]
    fn levels_are_those_asked_for() {
        let said = logged(LogFormat::Text, "warn,windrow::log=info,other=off", || {
            tracing::info!("here");
            tracing::debug!("too fine");
            tracing::info!(target: "windrow::elsewhere", "elsewhere");
            tracing::error!(target: "other", "off");
        });
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(USUAL.parse::<Targets>().is_ok());
    }
}
