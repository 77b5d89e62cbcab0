//! Every page under axe-core, light and dark, as a phone or a laptop shows it: no violation of WCAG 2.2 AA, and none of good
//! practice that axe calls serious or critical. axe is evaluated by the driver, since the pages' policy lets no script in.

use super::driver::{
    Browser, Microphone, check_console_but, command, programs_or_say_skipped, say, wait_until,
};
use super::usable::Use;
use super::{join, start_triplets, write_microphone};
use crate::report::bring;
use crate::weeks::{Of, Week, write};
use fantoccini::{Client, Locator};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use windrow_tests::session_file::EXAMPLE;
use windrow_tests::{TestServer, request};

/// axe-core's tags of WCAG 2.2 AA and what it contains, and of good practice.
const RULES: [&str; 6] = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/// Runs axe and tells each violation in a line.
const RUN: &str = r"
    const [rules, done] = arguments;
    axe.run(document, { runOnly: { type: 'tag', values: rules }, resultTypes: ['violations'] }).then(
        (result) => done(result.violations
            .filter((v) => v.tags.some((tag) => tag.startsWith('wcag')) || ['serious', 'critical'].includes(v.impact))
            .map((v) => `${v.id} (${v.impact}): ${v.nodes.map((n) => n.html.slice(0, 160)).join(' | ')}`)),
        (error) => done([`axe failed: ${error}`]));";

/// Window of a page, CSS px.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Window {
    Phone,
    Laptop,
}

impl Window {
    fn pixels(self) -> (u64, u64) {
        match self {
            Window::Phone => (390, 844),
            Window::Laptop => (1366, 768),
        }
    }
}

/// A page at an address, and words of its heading, so that another page cannot stand in for it.
type Page<'a> = (&'a str, Window, &'a str);

/// Pages that need nobody to be signed in.
const OPEN_PAGES: [Page<'_>; 11] = [
    ("/", Window::Phone, "Join the room"),
    ("/welcome?device=apple", Window::Phone, "Welcome"),
    ("/welcome?device=android", Window::Phone, "Welcome"),
    ("/welcome?device=chromebook", Window::Laptop, "Welcome"),
    ("/welcome", Window::Laptop, "Welcome"),
    ("/nowhere", Window::Phone, "Nothing here"),
    ("/sign-in", Window::Laptop, "Sign in"),
    ("/mine", Window::Phone, "What is stored about me"),
    ("/practice", Window::Phone, "Practice at home"),
    ("/mine/weeks", Window::Phone, "How it has gone"),
    ("/records-format", Window::Laptop, "What stands in the files"),
];

/// What is known to be wrong and is printed instead of failing: the page or the element, and the criterion. To be emptied.
const KNOWN: [(&str, &str); 1] = [("conductor on a phone, a lane opened", "(2.4.11)")];

const PASSPHRASE: &str = "reed water 4";

/// The conductor's, besides the rehearsal itself.
const CONDUCTORS_PAGES: [Page<'_>; 16] = [
    ("/conduct/plans/first-lesson/sheet?instrument=alto-sax", Window::Laptop, "First lesson"),
    ("/conduct/plans/into-music/sheet?paper=letter", Window::Phone, "Into music"),
    ("/conduct/results", Window::Laptop, "Results"),
    ("/conduct/results", Window::Phone, "Results"),
    ("/conduct/weeks", Window::Laptop, "The section over weeks"),
    ("/conduct/room", Window::Laptop, "The room is open"),
    ("/conduct/poster", Window::Laptop, "Larkmoor Youth Winds"),
    ("/conduct/rehearsals", Window::Laptop, "Rehearsals"),
    ("/conduct/rehearsals", Window::Phone, "Rehearsals"),
    ("/conduct/rehearsals/0000-example", Window::Laptop, "Larkmoor Youth Winds"),
    ("/conduct/rehearsals/0000-example", Window::Phone, "Larkmoor Youth Winds"),
    ("/conduct/rehearsals/0000-example/results", Window::Laptop, "Results"),
    ("/conduct/keep", Window::Phone, "Keep the records"),
    ("/conduct/rooms", Window::Phone, "Rooms"),
    // Last: its form is pressed next.
    ("/conduct/access", Window::Phone, "Access"),
    ("/conduct/access", Window::Laptop, "Access"),
];

/// axe-core, if it was fetched.
fn axe() -> Option<String> {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap().join("axe-core/axe.min.js");
    let source = std::fs::read_to_string(&file).ok();
    if source.is_none() {
        let missing = format!("no {} (.ci/axe-core fetches it)", file.display());
        assert!(std::env::var_os("WINDROW_REQUIRE_BROWSER").is_none(), "accessibility: there is {missing}");
        say(&format!("skipped: accessibility, since there is {missing}"));
    }
    source
}

struct Audit {
    client: Client,
    axe: String,
    window: Window,
    found: Vec<String>,
    n_looked_at: usize,
    /// What pages are written in.
    language: &'static str,
    /// Where pictures of everything are put, if somebody wants to see it.
    looks: Option<PathBuf>,
}

impl Audit {
    async fn size(&mut self, window: Window) {
        self.window = window;
        let (width, height) = window.pixels();
        self.resize(width, height).await;
    }

    async fn resize(&self, width: u64, height: u64) {
        let is_phone = self.window == Window::Phone;
        let metrics = json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": is_phone});
        command(&self.client, "Emulation.setDeviceMetricsOverride", metrics).await;
    }

    /// Looks at what is shown now, in light and in dark, and as it is printed.
    async fn look(&mut self, name: &str) {
        let scheme_of =
            |scheme| json!({"media": "", "features": [{"name": "prefers-color-scheme", "value": scheme}]});
        let printed = json!({"media": "print", "features": []});
        for (scheme, media) in
            [("light", scheme_of("light")), ("dark", scheme_of("dark")), ("print", printed)]
        {
            if scheme == "print" && !["poster", "/sheet", "/weeks/"].iter().any(|paper| name.contains(paper))
            {
                continue;
            }
            command(&self.client, "Emulation.setEmulatedMedia", media).await;
            self.client.execute(&self.axe, vec![]).await.unwrap();
            let violations = self.client.execute_async(RUN, vec![json!(RULES)]).await.unwrap();
            let lines = violations.as_array().unwrap().iter().map(|v| v.as_str().unwrap_or_default());
            self.found.extend(lines.map(|line| format!("{name}, {scheme}: {line}")));
            self.n_looked_at += 1;
            self.keep_picture(name, scheme).await;
            if scheme == "light" {
                self.try_out(name).await;
            }
        }
        // What is pressed next is on a screen again.
        command(&self.client, "Emulation.setEmulatedMedia", scheme_of("dark")).await;
    }

    /// Whether what is shown can be used; colours have no part in that.
    async fn try_out(&mut self, name: &str) {
        let (width, height) = self.window.pixels();
        let window = (width, height, self.window == Window::Phone);
        let is_paper = name.contains("/sheet");
        let tried = Use { client: &self.client, window, language: self.language, is_paper };
        let mut lines = tried.offences().await;
        lines.extend(tried.walk().await);
        self.found.extend(lines.into_iter().map(|line| format!("{name}, {width} px: {line}")));
    }

    /// Keeps what is shown now as a picture, in the order of the walk.
    async fn keep_picture(&self, name: &str, scheme: &str) {
        let Some(dir) = &self.looks else { return };
        let name: String = name.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
        let (width, height) = self.window.pixels();
        let file = format!("{:03} {width} {scheme} {}.png", self.n_looked_at, name.trim_matches('-'));
        let asked = "return Math.min(3000, document.documentElement.scrollHeight)";
        let whole = self.client.execute(asked, vec![]).await.unwrap().as_u64().unwrap();
        self.resize(width, whole.max(height)).await;
        let picture = self.client.screenshot().await.unwrap();
        self.resize(width, height).await;
        std::fs::write(dir.join(file), picture).unwrap();
    }

    async fn visit(&mut self, server: &TestServer, (path, window, heading): Page<'_>) {
        self.size(window).await;
        self.client.goto(&server.url(path)).await.unwrap();
        wait_until(10, &format!("{path} headed {heading}"), async || {
            let asked = "return [...document.querySelectorAll('h1')].find((h) => h.checkVisibility())?.innerText ?? ''";
            let h1 = self.client.execute(asked, vec![]).await.unwrap();
            if h1.as_str().is_some_and(|h1| h1.contains(heading)) { Ok(()) } else { Err(h1.to_string()) }
        })
        .await;
        self.look(path).await;
    }

    async fn press(&self, selector: &str) {
        // What is found may be put anew before it is pressed, on a page that is still being filled.
        wait_until(5, &format!("{selector} pressed"), async || {
            let found = self.client.find(Locator::Css(selector)).await.map_err(|e| e.to_string())?;
            found.click().await.map_err(|e| e.to_string())
        })
        .await;
    }
}

async fn all_pages(client: Client, server: TestServer, axe: String) {
    let looks = std::env::var_os("WINDROW_LOOKS").map(PathBuf::from);
    if let Some(dir) = &looks {
        std::fs::create_dir_all(dir).unwrap();
    }
    let mut audit = Audit {
        client: client.clone(),
        axe,
        window: Window::Laptop,
        found: Vec::new(),
        n_looked_at: 0,
        language: "en",
        looks,
    };
    let first = server.running().first_link.as_deref().unwrap();
    let path = format!("/{}", first.splitn(4, '/').nth(3).unwrap());
    audit.visit(&server, (&path, Window::Laptop, "Choose a passphrase")).await;
    let form = [("new", PASSPHRASE), ("again", PASSPHRASE)];
    let set = request::post(server.running().http_addr, &path, "", &form).await;
    assert_eq!(set.status, 303);
    for page in OPEN_PAGES {
        audit.visit(&server, page).await;
    }

    audit.size(Window::Laptop).await;
    client.goto(&server.running().conductor_link()).await.unwrap();
    wait_until(10, "the empty room", async || {
        let empty = client.find(Locator::Id("empty")).await.unwrap();
        if empty.is_displayed().await.unwrap() { Ok(()) } else { Err(String::new()) }
    })
    .await;
    audit.look("conductor, nobody in").await;
    audit.size(Window::Phone).await;
    audit.look("conductor on a phone, nobody in").await;
    audit.size(Window::Laptop).await;
    audit.press("#try button").await;
    client.wait().for_element(Locator::Css("#lanes [role=option]")).await.unwrap();
    audit.look("conductor, imaginary players").await;
    audit.press("#imaginary button").await;
    audit.press("#help-open").await;
    audit.look("conductor, help").await;

    let player_tab = client.new_window(true).await.unwrap().handle;
    let conductor_tab = client.window().await.unwrap();
    client.switch_to_window(player_tab.clone()).await.unwrap();
    audit.size(Window::Phone).await;
    client.goto(&server.url("/")).await.unwrap();
    join(&client, server.code(), "Imogen").await;
    audit.look("player in the room").await;
    audit.press("#more").await;
    audit.press("#more-dialog summary").await;
    audit.look("player, #more-dialog").await;
    audit.press("#more-dialog form button").await;
    for (opens, dialog) in [
        ("#more-dialog [data-opens=check]", "#check-dialog"),
        ("#tick", "#tick-dialog"),
        ("#timing [data-opens=timing]", "#timing-dialog"),
    ] {
        audit.press("#more").await;
        audit.press(opens).await;
        audit.look(&format!("player, {dialog}")).await;
        audit.press(&format!("{dialog} form button")).await;
    }

    client.switch_to_window(conductor_tab).await.unwrap();
    audit.size(Window::Laptop).await;
    client.goto(&server.url("/conduct")).await.unwrap();
    wait_until(20, "a lane", async || {
        let lanes = client.find_all(Locator::Css("#lanes [role=option]")).await.unwrap();
        if lanes.is_empty() { Err(String::new()) } else { Ok(()) }
    })
    .await;
    start_triplets(&client).await;
    wait_until(20, "a verdict", async || {
        let word = client.find(Locator::Css("#lanes .word")).await.unwrap().text().await.unwrap();
        if word == "not heard" { Err(word) } else { Ok(()) }
    })
    .await;
    audit.look("conductor, playing").await;
    audit.press("#lanes li").await;
    audit.look("conductor, a lane opened").await;
    audit.size(Window::Phone).await;
    audit.look("conductor on a phone, a lane opened").await;
    audit.size(Window::Laptop).await;
    audit.press("#opened-close").await;
    audit.press("#wall").await;
    audit.look("conductor, wall").await;
    audit.press("#plan-open").await;
    audit.look("conductor, the plan").await;
    audit.press("#plan form button").await;
    plans(&mut audit, &server).await;
    bring(&server, EXAMPLE).await;
    for page in CONDUCTORS_PAGES {
        audit.visit(&server, page).await;
    }
    audit.press("form[action='/conduct/access/invite'] button").await;
    audit.look("access, an invitation").await;
    let link = client.find(Locator::Id("invitation")).await.unwrap().prop("value").await.unwrap().unwrap();
    let invitation = format!("/{}", link.splitn(4, '/').nth(3).unwrap());
    audit.visit(&server, (&invitation, Window::Phone, "Help to lead")).await;
    client.switch_to_window(player_tab).await.unwrap();
    audit.look("player, playing").await;
    alone(&mut audit, &server).await;
    client.switch_to_window(client.new_window(true).await.unwrap().handle).await.unwrap();
    who_is_who(&mut audit, &server).await;
    over_weeks(&mut audit, &server).await;
    in_german(&mut audit, &server).await;

    let is_known =
        |line: &String| KNOWN.iter().any(|(place, what)| line.contains(place) && line.contains(what));
    let (known, found) = std::mem::take(&mut audit.found).into_iter().partition::<Vec<_>, _>(is_known);
    audit.found = found;
    known.iter().for_each(|line| say(&format!("known: {line}")));
    say(&format!("axe: {} looks, {} violations", audit.n_looked_at, audit.found.len()));
    assert!(audit.found.is_empty(), "{}", audit.found.join("\n"));
    // The page that is not there was asked for on purpose, as was what cannot be brought in or saved; and this browser does not trust the certificate.
    let expected = ["/nowhere", "/welcome/trusted", "/conduct/plans/import", "status of 422"];
    check_console_but(&client, &expected).await;
}

/// A player's weeks, with every figure opened.
async fn over_weeks(audit: &mut Audit, server: &TestServer) {
    let person = crate::weeks::add(server, "Tamsin").await;
    let weeks: Vec<Week> = (0..14).map(|ago| Week::rehearsal(ago, &[(63.0, true), (66.0, false)])).collect();
    write(server, Of::Person(&person), "Tamsin", &weeks).await;
    let path = format!("/conduct/weeks/{person}");
    for window in [Window::Laptop, Window::Phone] {
        audit.visit(server, (&path, window, "Tamsin, flute")).await;
        audit.press(".figures summary").await;
        audit.press(".reading summary").await;
        audit.look("a player over weeks, all figures").await;
    }
}

/// Practice at home, before and while something is played.
async fn alone(audit: &mut Audit, server: &TestServer) {
    audit.client.switch_to_window(audit.client.new_window(true).await.unwrap().handle).await.unwrap();
    audit.visit(server, ("/practice", Window::Phone, "Practice at home")).await;
    audit.press("#begin").await;
    let playing = audit.client.clone();
    wait_until(20, "the room of one", async || {
        let who = playing.find(Locator::Id("who")).await.unwrap().text().await.unwrap();
        if who.contains("Imogen") { Ok(()) } else { Err(who) }
    })
    .await;
    audit.look("practice, ready").await;
    audit.press("#practice-controls [data-opens=practice]").await;
    audit.look("practice, #practice-dialog").await;
    audit.press("#practice-dialog form button").await;
    audit.press("#practice-start").await;
    audit.look("practice, playing").await;
    audit.press("#practice-start").await;
    audit.press("#practice-done").await;
    audit.look("practice, what it came to").await;
}

/// The shelf of plans, a file that is refused, and the editor with all its fields open and one of them wrong.
async fn plans(audit: &mut Audit, server: &TestServer) {
    for window in [Window::Laptop, Window::Phone] {
        audit.visit(server, ("/conduct/plans", window, "Plans")).await;
    }
    let field = audit.client.find(Locator::Id("text")).await.unwrap();
    field.send_keys("{\"format\": \"something else\"}").await.unwrap();
    audit.press("form[action='/conduct/plans/import'] button").await;
    audit.look("plans, a file is refused").await;
    audit.press("[aria-label='Copy and edit: Into music']").await;
    wait_until(20, "the editor", async || {
        let editors = audit.client.find_all(Locator::Id("exercises")).await.unwrap();
        let shown = "return document.body.innerText.slice(0, 400)";
        if editors.is_empty() {
            Err(audit.client.execute(shown, vec![]).await.unwrap().to_string())
        } else {
            Ok(())
        }
    })
    .await;
    audit.size(Window::Laptop).await;
    let all = "for (const d of document.querySelectorAll('#exercises details')) d.open = true;";
    audit.client.execute(all, vec![]).await.unwrap();
    let tempo = audit.client.find(Locator::Css("#exercises input[type=number]")).await.unwrap();
    tempo.send_keys("000").await.unwrap();
    audit.press("#save").await;
    wait_until(10, "what is wrong", async || {
        let complaints = audit.client.find(Locator::Id("complaints")).await.unwrap();
        if complaints.is_displayed().await.unwrap() { Ok(()) } else { Err(String::new()) }
    })
    .await;
    audit.look("plan editor, all opened").await;
    audit.size(Window::Phone).await;
    audit.look("plan editor on a phone").await;
    // Without the first exercise it can be saved, and left.
    audit.press("[data-does=off]").await;
    audit.press("#save").await;
    wait_until(10, "the plan to be saved", async || {
        let saved = audit.client.find(Locator::Id("saved")).await.unwrap().text().await.unwrap();
        if saved.starts_with("Saved") { Ok(()) } else { Err(saved) }
    })
    .await;
    audit.size(Window::Laptop).await;
    audit.client.goto(&server.url("/conduct/plans")).await.unwrap();
    audit.press("[aria-label^='Delete:']").await;
    audit.look("plans, delete one").await;
}

/// Every page that an address leads to, once more in the other language: words are longer there.
async fn in_german(audit: &mut Audit, server: &TestServer) {
    audit.client.execute("document.cookie = 'windrow_language=de; path=/'", vec![]).await.unwrap();
    audit.language = "de";
    let conductors = ["/conduct", "/conduct/plans", "/conduct/roster"];
    let conductors = conductors.map(|path| (path, Window::Laptop, ""));
    for page in OPEN_PAGES.into_iter().chain(CONDUCTORS_PAGES).chain(conductors) {
        audit.visit(server, (page.0, page.1, "")).await;
    }
}

/// The roster with people in it, what a file would change, and the steps of joining by a name.
async fn who_is_who(audit: &mut Audit, server: &TestServer) {
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    for name in ["Imogen", "Wren", "Hadley"] {
        let form = [("do", "add"), ("name", name), ("instrument", "flute")];
        assert_eq!(request::post(addr, "/conduct/roster", &cookie, &form).await.status, 303);
    }
    for window in [Window::Laptop, Window::Phone] {
        audit.visit(server, ("/conduct/roster", window, "Roster")).await;
    }
    audit.press("summary").await;
    audit.look("roster, more about somebody").await;
    audit.press("[value=remove]").await;
    audit.look("roster, somebody is off the list").await;
    let field = audit.client.find(Locator::Id("csv")).await.unwrap();
    field.send_keys("name,instrument\nPiers,alto sax\nMaeve,kazoo\n").await.unwrap();
    audit.press("form[action='/conduct/roster/import'] button").await;
    audit.look("roster, what a file would change").await;
    audit.press(".confirm a").await;
    audit.press("[formaction='/conduct/roster/erase']").await;
    audit.look("roster, erase somebody").await;

    let client = audit.client.clone();
    let shown = async |id: &str| {
        wait_until(10, id, async || {
            let step = client.find(Locator::Id(id)).await.unwrap();
            if step.is_displayed().await.unwrap() { Ok(()) } else { Err(String::new()) }
        })
        .await;
    };
    client.goto(&server.url(&format!("/join/{}", server.code()))).await.unwrap();
    shown("back-step").await;
    audit.look("join, a known device").await;
    audit.press("#not-me").await;
    shown("names-step").await;
    audit.press("#names label").await;
    audit.look("join, names to tap").await;
    audit.press("#not-here").await;
    shown("nickname-step").await;
    audit.look("join, a nickname").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_page_is_accessible_in_light_and_dark() {
    let Some(programs) = programs_or_say_skipped("accessibility") else { return };
    let Some(axe) = axe() else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("axe.wav");
    write_microphone(&microphone);
    let server = TestServer::start_secure().await;
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| all_pages(client, server, axe)).await;
}

async fn bad_page(client: Client, axe: String) {
    let page = "<title>x</title><button></button><input><p style='color:%23bbb'>pale</p>";
    client.goto(&format!("data:text/html,{page}")).await.unwrap();
    client.execute(&axe, vec![]).await.unwrap();
    let found: Value = client.execute_async(RUN, vec![json!(RULES)]).await.unwrap();
    let text = found.to_string();
    for rule in ["button-name", "label", "html-has-lang", "color-contrast"] {
        assert!(text.contains(rule), "{rule} is missing: {text}");
    }
}

/// What axe finds on a page that is bad in known ways is what makes a pass above mean something.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_bad_page_is_found_out() {
    let Some(programs) = programs_or_say_skipped("accessibility") else { return };
    let Some(axe) = axe() else { return };
    let browser = Browser::open_with(programs, Microphone::Missing).await;
    browser.during(|client| bad_page(client, axe)).await;
}
