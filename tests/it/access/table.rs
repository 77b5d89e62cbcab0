//! Every route, and who may use it. A route that is missing here fails the test: whoever adds one writes down what it
//! answers to nobody, to a player with the room's code and a device that the records know, to an assistant and to the
//! conductor. `cargo test -p windrow-tests --test it access::table -- --nocapture` prints the table as it was tried;
//! what `tricked` tries of it besides is nobody's right.

use super::assistants::invite;
use super::{PASSPHRASE, form_text, served, set_up, sign_in, stop};
use std::collections::BTreeSet;
use std::net::SocketAddr;
use windrow::Running;
use windrow_protocol::instrument::Instrument;
use windrow_tests::request::{get, send};
use windrow_tests::{Player, batch, hello};

/// Who asks, in the order of the columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Asks {
    Nobody,
    Player,
    Assistant,
    Conductor,
}

const ALL: [Asks; 4] = [Asks::Nobody, Asks::Player, Asks::Assistant, Asks::Conductor];

/// Method, path, form, and the status for nobody, player, assistant, conductor.
pub(super) type Row = (&'static str, &'static str, &'static [(&'static str, &'static str)], [u16; 4]);

/// In a path `{code}` is the room's code, a wrong one for nobody; every other part stands for something that does not
/// exist, so that a route of the conductor's answers 403 to strangers before it looks.
pub(super) const TABLE: &[Row] = &[
    ("GET", "/", &[], [200, 200, 200, 200]),
    ("GET", "/join/{code}", &[], [404, 200, 200, 200]),
    ("GET", "/join/{code}/names.json", &[], [404, 200, 200, 200]),
    // The page is empty; what it shows is asked for with a device's token, and who has none asks in vain, whoever it is. What
    // a device practised is no practice here.
    ("GET", "/mine", &[], [200, 200, 200, 200]),
    ("POST", "/mine/who.json", &[], [404, 200, 404, 404]),
    ("POST", "/mine/summary.json", &[], [404, 200, 404, 404]),
    ("POST", "/mine/all.json", &[], [404, 200, 404, 404]),
    ("POST", "/mine/erase.json", &[], [404, 200, 404, 404]),
    ("POST", "/practice/carry-in.json", &[], [404, 422, 404, 404]),
    ("GET", "/mine/weeks", &[], [200, 200, 200, 200]),
    ("POST", "/mine/weeks/part", &[], [404, 200, 404, 404]),
    // Where everything is open already the welcome leads on; `trusted` answers to a page of ours over plain http alone.
    ("GET", "/welcome", &[], [307, 307, 307, 307]),
    ("GET", "/welcome/trusted", &[], [403, 403, 403, 403]),
    // Without https there is no authority to hand out.
    ("GET", "/welcome/authority.crt", &[], [404, 404, 404, 404]),
    ("GET", "/welcome/authority.pem", &[], [404, 404, 404, 404]),
    ("GET", "/welcome/windrow.mobileconfig", &[], [404, 404, 404, 404]),
    ("GET", "/static/{*path}", &[], [200, 200, 200, 200]),
    ("GET", "/plan-schema.json", &[], [200, 200, 200, 200]),
    ("GET", "/session-schema.json", &[], [200, 200, 200, 200]),
    ("GET", "/records-format", &[], [200, 200, 200, 200]),
    ("GET", "/favicon.ico", &[], [204, 204, 204, 204]),
    ("GET", "/healthz", &[], [200, 200, 200, 200]),
    // This computer; what another one gets is in `metrics`.
    ("GET", "/metrics", &[], [200, 200, 200, 200]),
    ("POST", "/language", &[("to", "de")], [303, 303, 303, 303]),
    // Without an upgrade. Over a socket the right is checked first, and the refusal goes over it: `hostile` and `door`.
    ("GET", "/ws/player", &[], [400, 400, 400, 400]),
    ("GET", "/ws/conductor", &[], [400, 400, 400, 400]),
    ("POST", "/line/player", &[], [200, 200, 200, 200]),
    ("GET", "/line/player/{name}/heard", &[], [410, 410, 410, 410]),
    ("POST", "/line/player/{name}/said", &[], [410, 410, 410, 410]),
    ("POST", "/line/player/{name}/clock", &[], [410, 410, 410, 410]),
    ("POST", "/line/conductor", &[], [403, 403, 200, 200]),
    ("GET", "/line/conductor/{name}/heard", &[], [403, 403, 410, 410]),
    ("POST", "/line/conductor/{name}/said", &[], [403, 403, 410, 410]),
    ("POST", "/line/conductor/{name}/clock", &[], [403, 403, 410, 410]),
    // The page, its plan and what keeps them are the same for everybody.
    ("GET", "/practice", &[], [200, 200, 200, 200]),
    ("GET", "/practice/plan.json", &[], [200, 200, 200, 200]),
    ("GET", "/practice-worker.js", &[], [200, 200, 200, 200]),
    ("GET", "/manifest.webmanifest", &[], [200, 200, 200, 200]),
    ("GET", "/sign-in", &[], [200, 200, 200, 200]),
    ("POST", "/sign-in", &[("passphrase", PASSPHRASE)], [303, 303, 303, 303]),
    ("POST", "/sign-out", &[], [403, 403, 303, 303]),
    ("GET", "/first/{token}", &[], [410, 410, 410, 410]),
    ("POST", "/first/{token}", &[("new", "a"), ("again", "a")], [410, 410, 410, 410]),
    ("GET", "/invitation/{token}", &[], [410, 410, 410, 410]),
    ("POST", "/invitation/{token}", &[("name", "Hadley")], [410, 410, 410, 410]),
    ("GET", "/conduct", &[], [403, 403, 200, 200]),
    ("POST", "/conduct/imaginary", &[("do", "leave")], [403, 403, 303, 303]),
    ("GET", "/conduct/reach.json", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/code.svg", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/poster", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/rooms", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/rooms.json", &[], [403, 403, 200, 200]),
    // Opening a room is the conductor's; a name that is none is refused.
    ("POST", "/conduct/rooms", &[("act", "open"), ("section", "")], [403, 403, 403, 422]),
    ("GET", "/conduct/room", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/check.json", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/results", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/results.json", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/results/review.json", &[], [403, 403, 200, 200]),
    // Nothing has been played.
    ("GET", "/conduct/results/{run}/raster.json", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/weeks", &[], [403, 403, 200, 200]),
    ("POST", "/conduct/weeks/plan", &[("pulses", "3"), ("bpm", "66")], [403, 403, 303, 303]),
    // There is nobody of that name.
    ("GET", "/conduct/weeks/{person_id}", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/rehearsals", &[], [403, 403, 200, 200]),
    // What another Windrow has written comes by the conductor's word alone.
    ("POST", "/conduct/rehearsals/import", &[("text", "no rehearsal")], [403, 403, 403, 422]),
    ("GET", "/conduct/rehearsals/all/sessions.jsonl", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/rehearsals/{id}", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/rehearsals/{id}/results.csv", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/rehearsals/{id}/pulses.csv", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/rehearsals/{id}/session.json", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/rehearsals/{id}/results", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/rehearsals/{id}/results.json", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/rehearsals/{id}/results/review.json", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/rehearsals/{id}/results/{run}/raster.json", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/roster", &[], [403, 403, 200, 200]),
    ("POST", "/conduct/roster", &[("do", "choose"), ("section", "Reeds")], [403, 403, 303, 303]),
    ("POST", "/conduct/roster/import", &[("csv", "name,instrument")], [403, 403, 200, 200]),
    // An assistant erases nothing; for the conductor there is nobody of that id.
    ("POST", "/conduct/roster/erase", &[("person_id", "nobody")], [403, 403, 403, 422]),
    ("GET", "/conduct/roster.csv", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/seats.json", &[], [403, 403, 200, 200]),
    // The whole of the records, with every name.
    ("GET", "/conduct/keep", &[], [403, 403, 403, 200]),
    ("POST", "/conduct/keep/backup", &[], [403, 403, 403, 200]),
    ("GET", "/conduct/plans", &[], [403, 403, 200, 200]),
    ("POST", "/conduct/plans", &[("do", "use"), ("name", "first-lesson")], [403, 403, 303, 303]),
    ("POST", "/conduct/plans/import", &[("text", "no plan")], [403, 403, 422, 422]),
    ("POST", "/conduct/plans/delete", &[("name", "nothing")], [403, 403, 403, 422]),
    ("POST", "/conduct/plans/for-home", &[("name", "first-lesson")], [403, 403, 303, 303]),
    ("GET", "/conduct/plans.json", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/plans/{name}", &[], [403, 403, 404, 404]),
    ("PUT", "/conduct/plans/{name}", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/plans/{name}/sheet", &[], [403, 403, 404, 404]),
    ("GET", "/conduct/plans/{name}/edit", &[], [403, 403, 404, 404]),
    ("POST", "/conduct/plans/{name}/edit", &[("text", "no plan"), ("version", "1")], [403, 403, 422, 422]),
    ("GET", "/conduct/access", &[], [403, 403, 200, 200]),
    ("GET", "/conduct/access/door", &[], [403, 403, 200, 200]),
    ("POST", "/conduct/access/code", &[("what", "prolong")], [403, 403, 403, 303]),
    ("POST", "/conduct/access/invite", &[], [403, 403, 403, 200]),
    ("POST", "/conduct/access/withdraw", &[], [403, 403, 403, 303]),
    ("POST", "/conduct/access/end", &[("id", "0")], [403, 403, 403, 303]),
    ("POST", "/conduct/access/sign-out-everywhere", &[], [403, 403, 403, 303]),
    (
        "POST",
        "/conduct/access/passphrase",
        &[("current", PASSPHRASE), ("new", PASSPHRASE), ("again", PASSPHRASE)],
        [403, 403, 403, 303],
    ),
];

#[test]
fn every_route_is_in_the_table_and_nothing_else() {
    let routes: BTreeSet<_> = windrow::route_names().into_iter().collect();
    let rows: BTreeSet<_> = TABLE.iter().map(|&(method, path, ..)| (method, path)).collect();
    let missing: Vec<_> = routes.difference(&rows).collect();
    assert!(missing.is_empty(), "write down in this table who may use {missing:?}");
    let gone: Vec<_> = rows.difference(&routes).collect();
    assert!(gone.is_empty(), "there are no such routes any more: {gone:?}");
    assert_eq!(rows.len(), TABLE.len(), "a route stands here twice");
}

#[tokio::test]
async fn every_route_answers_as_the_table_says() {
    let mut differ = Vec::new();
    let mut tried = vec![[0; ALL.len()]; TABLE.len()];
    for (column, asks) in ALL.into_iter().enumerate() {
        // A server for each, since links may be guessed ten times from one address.
        let server = served().await;
        set_up(&server.0).await;
        let (mut cookie, mut device) = (String::new(), String::new());
        for (row, &(method, path, form, expected)) in TABLE.iter().enumerate() {
            cookie = signed_in(server.0.http_addr, asks, cookie).await;
            let is_a_device_s = ["/mine/", "/practice/"].iter().any(|begin| path.starts_with(begin));
            if asks == Asks::Player && (device.is_empty() || is_a_device_s) {
                // Another one for each: erasing takes the device away as well.
                device = joined(&server.0, &format!("Wren {row}")).await;
            }
            let status = ask(&server.0, (asks, &cookie, &device), method, path, form).await;
            tried[row][column] = status;
            if status != expected[column] {
                differ.push(format!("{asks:?} {method} {path}: {status} instead of {}", expected[column]));
            }
        }
        stop(server).await;
    }
    print(&tried);
    assert!(differ.is_empty(), "{}", differ.join("\n"));
}

/// The table as it was tried.
fn print(tried: &[[u16; ALL.len()]]) {
    println!("{:<5} {:<52} {:<27} nobody player assistant conductor", "", "route", "who may");
    for (&(method, path, ..), [nobody, player, assistant, conductor]) in TABLE.iter().zip(tried) {
        let who = who_may(path, [*nobody, *player, *assistant, *conductor]);
        println!("{method:<5} {path:<52} {who:<27} {nobody:<6} {player:<6} {assistant:<9} {conductor}",);
    }
}

/// In words, from the answers alone.
fn who_may(path: &str, [nobody, player, assistant, conductor]: [u16; 4]) -> &'static str {
    match () {
        () if path.contains("{code}") && nobody != player => "whoever has the code",
        () if player != nobody && assistant == nobody => "a player's own device",
        () if conductor == nobody => "everybody",
        () if assistant == nobody => "the conductor",
        () => "the conductor, an assistant",
    }
}

/// Whether a route is for those alone who are signed in: those are tried by tricks as well.
pub(super) fn needs_a_cookie(&&(_, path, _, [nobody, _, _, conductor]): &&Row) -> bool {
    nobody != conductor && !path.contains("{code}")
}

/// A path that is asked for: what stands for a part of it does not exist.
pub(super) fn path_asked(path: &str, code: &str) -> String {
    path.replace("{code}", code).replace("{*path}", "base.css").replace(['{', '}'], "")
}

/// The token of a device that has just joined and whom the records know.
pub(super) async fn joined(running: &Running, name: &str) -> String {
    let url = format!("ws://{}/ws/player", running.http_addr);
    let mut player = Player::join_at(&url, hello(&running.code, name, Instrument::Oboe)).await;
    player.say(&batch(1, 1)).await;
    player.hear_ack(1).await;
    player.welcome.token.clone()
}

/// A cookie that is good; some routes end the one they are asked with.
async fn signed_in(addr: SocketAddr, asks: Asks, cookie: String) -> String {
    let conductor = async || sign_in(addr, PASSPHRASE, "").await.cookie();
    let is_good =
        !cookie.is_empty() && get(addr, "/conduct/access/door", &[("Cookie", &cookie)]).await.status == 200;
    match asks {
        Asks::Nobody | Asks::Player => String::new(),
        _ if is_good => cookie,
        Asks::Conductor => conductor().await,
        Asks::Assistant => assistant(addr, &conductor().await).await,
    }
}

/// The cookie of a new assistant.
pub(super) async fn assistant(addr: SocketAddr, conductor: &str) -> String {
    let invitation = invite(addr, conductor).await;
    windrow_tests::request::post(addr, &invitation, "", &[("name", "Hadley")]).await.cookie()
}

async fn ask(
    running: &Running,
    (asks, cookie, device): (Asks, &str, &str),
    method: &str,
    path: &str,
    form: &[(&str, &str)],
) -> u16 {
    let code = if asks == Asks::Nobody { "CCCCCC" } else { running.code.as_str() };
    let path = path_asked(path, code);
    let own = format!("http://{}", running.http_addr);
    // As one of the server's own pages sends it; a page that is only looked at has no origin.
    let origin = if method == "GET" { "" } else { &own };
    let kind = if method == "PUT" { "application/json" } else { "application/x-www-form-urlencoded" };
    let headers =
        [("Origin", origin), ("Cookie", cookie), ("x-windrow-device", device), ("Content-Type", kind)];
    let body = if method == "PUT" { "no plan".to_owned() } else { form_text(form) };
    send(running.http_addr, method, &path, &headers, &body).await.status
}
