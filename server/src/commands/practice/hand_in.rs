//! Handing practices in: the room has to know this computer, so it says once who plays here. It must know no rule of a practice.

use super::shelf::{KnownBy, Shelf, read};
use crate::player::{Address, introduced, post};
use crate::tls;
use anyhow::{Context, bail, ensure};
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Duration;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::Hello;
use windrow_protocol::units::Name;

const PATH: &str = "/practice/carry-in.json";
/// A room's records know a new device a moment after its welcome.
const KNOWN_WITHIN: u32 = 20;
const LOOK_EVERY: Duration = Duration::from_millis(200);

/// What is handed in, and to whom.
#[derive(Debug, Clone)]
pub(in crate::commands) struct HandIn {
    pub(in crate::commands) url: String,
    pub(in crate::commands) files: Vec<PathBuf>,
    /// Who plays here, for a room that does not know.
    pub(in crate::commands) name: Option<Name>,
    pub(in crate::commands) instrument: Option<Instrument>,
    pub(in crate::commands) trust: Option<PathBuf>,
}

/// Hands in, and says of each file what became of it.
///
/// # Errors
/// Whatever kept it from that, ready to be shown.
pub(in crate::commands) async fn hand_in(shelf: &Shelf, what: HandIn) -> anyhow::Result<ExitCode> {
    if what.files.is_empty() {
        println!("Nothing waits to be handed in.");
        return Ok(ExitCode::SUCCESS);
    }
    let trusted = what.trust.as_deref().map(tls::trusting).transpose()?;
    let address = Address::new(&what.url, trusted)?;
    let bodies = what.files.iter().map(|path| body(path)).collect::<anyhow::Result<Vec<_>>>()?;
    let mut all_well = true;
    for known in shelf.known_by() {
        if send(shelf, &address, &known.token, &bodies, &mut all_well).await? {
            return Ok(if all_well { ExitCode::SUCCESS } else { ExitCode::FAILURE });
        }
    }
    let Some(code) = code_of(&what.url) else {
        bail!(
            "the room at {} does not know this computer yet: give the link that the conductor shows, with its code, such as \
             http://192.168.1.20:8470/join/KF3M7P",
            what.url
        )
    };
    let name = what
        .name
        .or_else(|| bodies.first().map(|b| b.name.clone()))
        .context("there is no name to come with")?;
    let instrument =
        what.instrument.or_else(|| bodies.first().map(|b| b.instrument)).unwrap_or(Instrument::Flute);
    let hello = Hello::new(code, name, instrument);
    let site = what.url.clone();
    let sent = introduced(&address, hello, async |welcome| {
        println!("You are {}, {}, in {}.", welcome.name, welcome.part, welcome.section);
        shelf.remember(KnownBy { site, token: welcome.token.clone() })?;
        for _ in 0..KNOWN_WITHIN {
            if send(shelf, &address, &welcome.token, &bodies, &mut all_well).await? {
                return Ok(());
            }
            tokio::time::sleep(LOOK_EVERY).await;
        }
        bail!("the room has not taken note of this computer: try again in a minute")
    });
    sent.await??;
    Ok(if all_well { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

/// A practice ready to be sent.
struct Body {
    path: PathBuf,
    text: String,
    name: Name,
    instrument: Instrument,
}

/// The code in a link such as `http://192.168.1.20:8470/join/KF3M7P` or `http://192.168.1.20:8470/?code=KF3M7P`.
fn code_of(url: &str) -> Option<&str> {
    let rest = url.split_once("/join/").or_else(|| url.split_once("code="))?.1;
    let code = rest.split(['/', '?', '&', '#']).next().unwrap_or_default();
    (!code.is_empty()).then_some(code)
}

fn body(path: &std::path::Path) -> anyhow::Result<Body> {
    let practice = read(path)?;
    let text = std::fs::read_to_string(path).with_context(|| format!("{} cannot be read", path.display()))?;
    Ok(Body { path: path.to_owned(), text, name: practice.name, instrument: practice.instrument })
}

/// Sends all; `false` where this device is strange there.
async fn send(
    shelf: &Shelf,
    address: &Address,
    token: &str,
    bodies: &[Body],
    all_well: &mut bool,
) -> anyhow::Result<bool> {
    for body in bodies {
        let name = body.path.file_name().unwrap_or_default().to_string_lossy();
        let (status, text) = post(address, PATH, token, &body.text).await?;
        let text = text.trim();
        match status {
            200 => {
                let answer: serde_json::Value =
                    serde_json::from_str(text).context("the room's answer cannot be read")?;
                let is_new = answer["taken"].as_bool().unwrap_or(false);
                println!(
                    "{name}: {}",
                    if is_new { "handed in" } else { "was handed in before, and counts once" }
                );
                shelf.mark_handed_in(&body.path)?;
            }
            // A strange device.
            403 => return Ok(false),
            404 => bail!("at this address is no room that takes practices: {text}"),
            429 => bail!("{text}"),
            _ => {
                *all_well = false;
                eprintln!("windrow: {name}: {text}");
            }
        }
    }
    ensure!(!bodies.is_empty(), "there is nothing to hand in");
    Ok(true)
}

#[cfg(test)]
mod tests {
    use super::code_of;

    #[test]
    fn the_code_is_found_in_the_links_that_are_shown() {
        for (url, code) in [
            ("http://192.168.1.20:8470/join/KF3M7P", Some("KF3M7P")),
            ("https://stand.local/join/KF3M7P?x=1", Some("KF3M7P")),
            ("http://10.0.0.2:8470/?code=KF3M7P", Some("KF3M7P")),
            ("http://10.0.0.2:8470", None),
            ("http://10.0.0.2:8470/join/", None),
        ] {
            assert_eq!(code_of(url), code, "{url}");
        }
    }
}
