//! A first rehearsal as people have it, told step by step: the program on an empty machine, its conductor, a player's device
//! that trusts the certificate, and the player's pulses on the conductor's page.

use super::driver::{Browser, Microphone, programs_or_say_skipped, say, wait_until};
use super::trust::Home;
use super::{PULSES_HZ, start_triplets, text_of, wait_for_state, write_microphone};
use crate::reach::own_address;
use fantoccini::{Client, Locator};
use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use windrow_tests::new_data_dir;

/// The program while it serves; ends with this value, and its records with it.
struct Serving {
    process: Child,
    data: PathBuf,
    /// What it printed.
    said: Vec<String>,
}

impl Drop for Serving {
    fn drop(&mut self) {
        // An error means that it has ended already.
        let _ = self.process.kill();
        let _ = self.process.wait();
        let _ = std::fs::remove_dir_all(&self.data);
    }
}

impl Serving {
    fn start() -> Self {
        let data = new_data_dir();
        let mut process = Command::new(env!("CARGO_BIN_EXE_windrow_under_test"))
            .args(["serve", "--http", "[::]:0", "--https", "[::]:0", "--no-mdns"])
            .args(["--section", "Larkmoor Youth Winds", "--data"])
            .arg(&data)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(process.stdout.take().unwrap()).lines();
        let mut said = Vec::new();
        for line in lines.by_ref() {
            let line = line.unwrap();
            let is_last = line.starts_with("The records are in");
            said.push(line);
            if is_last {
                break;
            }
        }
        // A full pipe would stop it.
        std::thread::spawn(move || lines.for_each(drop));
        Self { process, data, said }
    }

    /// The first address printed that has this in it.
    fn link(&self, part: &str) -> String {
        let links = self.said.iter().map(|line| line.trim()).filter(|line| line.starts_with("http"));
        links
            .into_iter()
            .find(|link| link.contains(part))
            .unwrap_or_else(|| panic!("{:?}", self.said))
            .to_owned()
    }
}

/// One step of a person, counted and told.
struct Steps {
    who: &'static str,
    n: u32,
}

impl Steps {
    fn take(&mut self, what: &str) {
        self.n += 1;
        say(&format!("first rehearsal, {}, step {}: {what}", self.who, self.n));
    }
}

async fn press(client: &Client, words: &str) {
    let button = format!("//button[normalize-space()='{words}']");
    client.find(Locator::XPath(&button)).await.unwrap().click().await.unwrap();
}

async fn choose_a_passphrase(client: &Client, serving: &Serving, steps: &mut Steps) {
    steps.take("starts the program, which prints a link");
    client.goto(&serving.link("/first/")).await.unwrap();
    steps.take("opens the link");
    for field in ["new", "again"] {
        client.find(Locator::Id(field)).await.unwrap().send_keys("crook and bocal").await.unwrap();
    }
    press(client, "Keep it and go on").await;
    steps.take("types a passphrase twice and goes on: pattern, address and code are on the screen");
    wait_until(20, "the pattern", async || {
        let width = "return document.getElementById('pattern')?.naturalWidth";
        match client.execute(width, vec![]).await.unwrap().as_f64() {
            Some(width) if width > 0.0 => Ok(()),
            seen => Err(format!("{seen:?}")),
        }
    })
    .await;
}

async fn read_the_welcome(phone: Client, address: String) {
    phone.goto(&address).await.unwrap();
    assert!(text_of(&phone, "seen").await.contains("This device reaches the conductor’s computer"));
}

async fn join_over_https(phone: Client, conductor: Client, address: String) {
    let (mut player, mut stand) = (Steps { who: "player", n: 2 }, Steps { who: "conductor", n: 3 });
    phone.goto(&address).await.unwrap();
    wait_until(20, "the join form over https", async || {
        let at = phone.current_url().await.unwrap();
        if at.scheme() == "https" { Ok(()) } else { Err(at.to_string()) }
    })
    .await;
    player.take("opens the address again, which goes on to https by itself");
    // The form comes once the page knows whether the section has a list.
    let name = wait_until(20, "the field for a name", async || {
        let name = phone.find(Locator::Id("name")).await.map_err(|error| error.to_string())?;
        if name.is_displayed().await.unwrap_or(false) { Ok(name) } else { Err("hidden".to_owned()) }
    })
    .await;
    name.send_keys("Imogen").await.unwrap();
    phone.find(Locator::Id("instrument")).await.unwrap().select_by_label("flute").await.unwrap();
    player.take("types a nickname and chooses the instrument (a tap where the section has a list)");
    press(&phone, "Listen and join").await;
    player.take("presses \"Listen and join\"");
    wait_until(20, "the player's seat", async || {
        let who = text_of(&phone, "who").await;
        if who.contains("Imogen, flute 1") { Ok(()) } else { Err(who) }
    })
    .await;
    player.take("allows the microphone (this browser gives it unasked), and is in");
    let is_secure = phone.execute("return isSecureContext", vec![]).await.unwrap();
    assert_eq!(is_secure, true);

    wait_until(20, "the player's lane", async || {
        let lanes = conductor.find_all(Locator::Css("#lanes [role=option]")).await.unwrap();
        if lanes.len() == 1 { Ok(()) } else { Err(format!("{} lanes", lanes.len())) }
    })
    .await;
    start_triplets(&conductor).await;
    stand.take("sees Imogen, chooses triplets and presses Start");
    let rate_hz = wait_for_state(&conductor, "matched").await;
    assert!((rate_hz / PULSES_HZ - 1.0).abs() < 0.02, "{rate_hz} pulses a second");
    say(&format!(
        "first rehearsal: the conductor reads \"Imogen, flute 1, matched, {rate_hz:.2} pulses a second\""
    ));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn from_an_empty_machine_to_a_player_who_is_matched() {
    let test = "the first rehearsal";
    let Some(programs) = programs_or_say_skipped(test) else { return };
    let Some(home) = Home::new_or_say_skipped(test) else { return };
    if own_address(test).is_none() {
        return;
    }
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("first-rehearsal.wav");
    write_microphone(&microphone);
    let serving = Serving::start();
    let address = serving.link("/join/");
    let conductor = Browser::open_at(programs.clone(), Microphone::Missing, None).await;
    conductor
        .during(move |conductor| async move {
            let mut steps = Steps { who: "conductor", n: 0 };
            choose_a_passphrase(&conductor, &serving, &mut steps).await;
            let mut steps = Steps { who: "player", n: 0 };
            let phone = Browser::open_at(programs.clone(), Microphone::Missing, Some(&home.dir)).await;
            let to = address.clone();
            phone.during(|phone| read_the_welcome(phone, to)).await;
            steps.take("points the camera at the pattern, which opens the welcome page over plain http");
            home.trust(&serving.data.join("certificate/authority.pem"));
            steps.take(
                "installs the certificate as that page says (a download and the settings; here certutil)",
            );
            let hears = Microphone::Plays(&microphone);
            let phone = Browser::open_at(programs, hears, Some(&home.dir)).await;
            phone.during(move |phone| join_over_https(phone, conductor, address)).await;
            drop((serving, home));
        })
        .await;
}
