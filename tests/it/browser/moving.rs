//! What moves on the pages of a rehearsal that runs: nothing flashes, live regions say little, and who wants less motion gets it. The
//! imaginary section plays sixteenths at 120, the fastest that a plan's ladder usually comes to.

use super::driver::{programs_or_say_skipped, say};
use std::path::PathBuf;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::units::Bpm;
use windrow_tests::chromium::{Chromium, Page};
use windrow_tests::flashes::{self, Seen};
use windrow_tests::{Conductor, TestServer, request};

/// Bars for which live regions are listened to.
const BARS: usize = 8;
const BPM: f64 = 120.0;
const BEATS_PER_BAR: f64 = 4.0;

/// A rehearsal in which imaginary players play sixteenths, and a browser to watch it.
struct Rehearsal {
    server: TestServer,
    chromium: Chromium,
    conductor: Conductor,
}

async fn rehearsal(program: PathBuf) -> Rehearsal {
    let server = TestServer::start().await;
    let (addr, cookie) = (server.running().http_addr, server.conductor_cookie());
    let form = [("do", "come")];
    assert_eq!(request::post(addr, "/conduct/imaginary", &cookie, &form).await.status, 303);
    let mut conductor = Conductor::open(&server).await;
    conductor.command(ConductorSays::SetTempo { bpm: Bpm::new(BPM).unwrap(), at: Moment::Now }).await;
    conductor.command(ConductorSays::SetSubdivision { per_beat: 4, at: Moment::Now }).await;
    conductor.command(ConductorSays::Start).await;
    conductor.see(|room| room.lanes.iter().any(|lane| lane.pulses.len() > 2).then_some(())).await;
    let chromium = Chromium::start(&program, &[]).await;
    Rehearsal { server, chromium, conductor }
}

impl Rehearsal {
    async fn conductors_page(&self, media: &str) -> Page {
        let page = self.chromium.page().await;
        if !media.is_empty() {
            let features = serde_json::json!([{"name": media, "value": "reduce"}]);
            page.command("Emulation.setEmulatedMedia", serde_json::json!({"features": features})).await;
        }
        page.go(&self.server.running().conductor_link()).await;
        page.wait_for(20, "document.querySelectorAll('#lanes [role=option]').length > 1").await;
        page
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_page_that_flashes_is_found_out() {
    let Some((program, _)) = programs_or_say_skipped("flashes") else { return };
    let chromium = Chromium::start(&program, &[]).await;
    let (mut page, reader) = flashes::two_pages(&chromium).await;
    // Five times a second from black to white and back, larger than the area that is allowed.
    let strobe = "<div style='width:400px;height:300px;animation:f 0.2s steps(1) infinite'></div>\
                  <style>@keyframes f{0%25{background:%23000}50%25{background:%23fff}}</style>";
    page.go(&format!("data:text/html,{strobe}")).await;
    let seen = flashes::watch(&mut page, &reader, 3.0).await;
    assert!(seen.is_too_much(), "{seen:?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn nothing_flashes_while_sixteenths_are_played_at_120() {
    let Some((program, _)) = programs_or_say_skipped("flashes") else { return };
    let rehearsal = rehearsal(program).await;
    let (mut page, reader) = (rehearsal.conductors_page("").await, rehearsal.chromium.page().await);
    let mut all: Vec<(&str, Seen)> = vec![("conductor", flashes::watch(&mut page, &reader, 6.0).await)];
    page.ask("document.getElementById('wall')?.click()").await;
    all.push(("the wall", flashes::watch(&mut page, &reader, 4.0).await));
    for (name, seen) in &all {
        say(&format!(
            "{name}: {} pictures, at most {} flashes a second in a cell, {} cells over three",
            seen.n_pictures, seen.most, seen.n_cells
        ));
        assert!(seen.n_pictures > 10, "{name} was hardly seen: {seen:?}");
        assert!(!seen.is_too_much(), "{name}: {seen:?}");
    }
    drop(rehearsal.conductor);
}

/// Notes each change of what a screen reader is told by itself.
const LISTEN: &str = r"
    window.told = [];
    for (const region of document.querySelectorAll('[aria-live], [role=status], [role=alert]')) {
      let last = region.textContent.trim();
      new MutationObserver(() => {
        const now = region.hidden ? '' : region.textContent.trim();
        if (now !== last && now !== '') told.push(`${region.id}: ${now}`);
        last = now;
      }).observe(region, { subtree: true, childList: true, characterData: true, attributes: true });
    }";

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_screen_reader_is_told_something_at_most_once_a_bar() {
    let Some((program, _)) = programs_or_say_skipped("live regions") else { return };
    let mut rehearsal = rehearsal(program).await;
    let page = rehearsal.conductors_page("").await;
    page.ask(LISTEN).await;
    let from_us = rehearsal.conductor.see(|room| Some(room.time_us.get())).await;
    let all_us = BARS as f64 * BEATS_PER_BAR * 60e6 / BPM;
    let heard = rehearsal.conductor.see(|room| (room.time_us.get() - from_us >= all_us).then_some(()));
    heard.await;
    let told = page.ask("told").await;
    let told = told.as_array().cloned().unwrap_or_default();
    say(&format!("live regions: {} changes in {BARS} bars", told.len()));
    assert!(told.len() <= BARS + 1, "{told:#?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn who_wants_less_motion_sees_the_rule_step_and_nothing_glide() {
    let Some((program, _)) = programs_or_say_skipped("less motion") else { return };
    let rehearsal = rehearsal(program).await;
    let page = rehearsal.conductors_page("prefers-reduced-motion").await;
    // Where the rule is in each frame of four seconds: eight beats at 120.
    let places = page
        .ask(
            "new Promise((done) => {
               const places = [];
               const rule = document.querySelector('.now');
               const until = performance.now() + 4000;
               const look = (now) => {
                 places.push(Math.round(rule.getBoundingClientRect().left));
                 if (now < until) requestAnimationFrame(look);
                 else {
                   const others = document.getAnimations().filter((a) => a.effect?.target !== rule);
                   done({ places, others: others.length });
                 }
               };
               requestAnimationFrame(look);
             })",
        )
        .await;
    let list = places["places"].as_array().cloned().unwrap_or_default();
    let n_moves = list.windows(2).filter(|pair| pair[0] != pair[1]).count();
    say(&format!("less motion: {n_moves} steps of the rule in {} frames of eight beats", list.len()));
    assert!(n_moves > 0, "the rule stood still: {list:?}");
    assert!(n_moves <= 10, "the rule glides: {list:?}");
    assert_eq!(places["others"], 0, "something else moves");
    drop(rehearsal.conductor);
}
