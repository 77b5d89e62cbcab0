//! Two pages of one browser and one server: the same tick leaves both at the same moment, and goes on while a page is
//! busy, hidden or without a server. What is compared is sound: each page's clicks are found in what it sends to its loudspeaker, and their
//! frames laid on the clock that all pages of a machine share.

use super::driver::{Browser, check_console, programs_or_say_skipped, say, wait_until};
use super::{join, text_of, write_microphone};
use fantoccini::wd::WindowHandle;
use fantoccini::{Client, Locator};
use std::path::PathBuf;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::score::TickFrom;
use windrow_protocol::units::Bpm;
use windrow_tests::{Conductor, TestServer};

/// Beats a minute; clicks come at the half of 60 / BPM, so that each has one that is nearest.
const BPM: f64 = 120.0;

/// Clicks looked at on each page.
const CLICKS: usize = 24;

/// Put into a page before it makes any sound: listens to whatever a worklet sends to the loudspeaker, by the product's own
/// gathering worklet, whose blocks carry frame numbers. `clicks` are frames at which silence ends; `stamps` say where frames
/// lie in the page's time.
const TAP: &str = r"
    window.tap = { clicks: [], stamps: [], context: null };
    const connect = AudioNode.prototype.connect;
    const listenTo = async (node) => {
        const context = node.context;
        // The page's own address of it: a processor registers once.
        const page = document.querySelector('script[src*=-page]').src;
        await context.audioWorklet.addModule(new URL('./listen-processor.js', page).href);
        const ear = new AudioWorkletNode(context, 'listen', { channelCount: 1, channelCountMode: 'explicit' });
        const channel = new MessageChannel();
        ear.port.postMessage({ out: channel.port1 }, [channel.port1]);
        let lastLoud = -Infinity;
        channel.port2.onmessage = ({ data: { frame, samples } }) => {
            samples.forEach((x, i) => {
                if (Math.abs(x) < 0.005) return;
                if (frame + i - lastLoud > context.sampleRate * 0.05) tap.clicks.push(frame + i);
                lastLoud = frame + i;
            });
        };
        connect.call(node, ear);
        connect.call(ear, context.destination);
        tap.context = context;
        setInterval(() => {
            const { contextTime, performanceTime } = context.getOutputTimestamp();
            if (contextTime > 0) tap.stamps.push({ s: contextTime, offsetMs: performanceTime - contextTime * 1000 });
        }, 100);
    };
    AudioNode.prototype.connect = function (to, ...more) {
        const isEnd = to instanceof AudioDestinationNode && this instanceof AudioWorkletNode;
        // The microphone's node sends silence, and has an input; the tick's has none.
        if (isEnd && this.numberOfInputs === 0) listenTo(this);
        return connect.call(this, to, ...more);
    };";

/// Each click's time of the audio clock, s, and when it left the loudspeaker, ms of the clock that all pages share; null
/// where the context fell behind within three seconds of it, as on a machine that is busy with something else.
const CLICK_TIMES: &str = r"
    const { clicks, stamps, context } = window.tap;
    const leftMs = (s) => {
        const offsets = stamps.filter((stamp) => Math.abs(stamp.s - s) < 3).map((stamp) => stamp.offsetMs).sort((a, b) => a - b);
        const isSteady = offsets.length > 0 && offsets[offsets.length - 1] - offsets[0] < 3;
        return isSteady ? performance.timeOrigin + s * 1000 + offsets[offsets.length >> 1] : null;
    };
    return clicks.map((frame) => [frame / context.sampleRate, leftMs(frame / context.sampleRate)]);";

/// Audio time in seconds, and the shared clock's milliseconds where they are sure.
type Click = (f64, Option<f64>);

async fn clicks(client: &Client) -> Vec<Click> {
    serde_json::from_value(client.execute(CLICK_TIMES, vec![]).await.unwrap()).unwrap()
}

async fn n_clicks(client: &Client) -> usize {
    client.execute("return window.tap.clicks.length", vec![]).await.unwrap().as_u64().unwrap() as usize
}

/// Waits for so many more clicks on the page that is in front.
async fn wait_for_clicks(client: &Client, n: usize) {
    let before = n_clicks(client).await;
    wait_until(60, &format!("{n} clicks"), async || {
        let heard = n_clicks(client).await - before;
        if heard >= n { Ok(()) } else { Err(format!("{heard} clicks")) }
    })
    .await;
}

/// Opens a page, taps it and joins.
async fn join_tapped(client: &Client, url: &str, code: &str, name: &str) -> WindowHandle {
    let window = client.new_window(true).await.unwrap().handle;
    client.switch_to_window(window.clone()).await.unwrap();
    client.goto(url).await.unwrap();
    client.execute(TAP, vec![]).await.unwrap();
    // One browser keeps one seat for all its pages: the second page would take the first one's.
    client.execute("localStorage.clear()", vec![]).await.unwrap();
    join(client, code, name).await;
    window
}

/// Chooses the tick "always on this device", as a player does.
async fn choose_always(client: &Client) {
    client.find(Locator::Id("more")).await.unwrap().click().await.unwrap();
    client.find(Locator::Id("tick")).await.unwrap().click().await.unwrap();
    client.find(Locator::Css("#tick-wish [value=always]")).await.unwrap().click().await.unwrap();
    client.find(Locator::Css("#tick-dialog .first")).await.unwrap().click().await.unwrap();
}

/// The largest gap between clicks that follow each other, ms of the audio clock.
fn largest_gap_ms(clicks: &[Click]) -> f64 {
    clicks.windows(2).map(|pair| 1000.0 * (pair[1].0 - pair[0].0)).fold(0.0, f64::max)
}

/// How far apart the clicks of two pages are, ms, sorted; only those for which the other page has one at all.
fn differences_ms(one: &[Click], other: &[Click]) -> Vec<f64> {
    let nearest =
        |ms: f64| other.iter().filter_map(|o| o.1).map(|o| (o - ms).abs()).fold(f64::INFINITY, f64::min);
    let beat_ms = 60_000.0 / BPM;
    let mut apart: Vec<f64> =
        one.iter().filter_map(|o| o.1).map(nearest).filter(|&d| d < beat_ms / 2.0).collect();
    apart.sort_by(f64::total_cmp);
    apart
}

/// Tells and checks how far apart the clicks of two pages are.
fn check_agreement(one: &[Click], other: &[Click]) {
    assert!(one.len().min(other.len()) * 4 >= CLICKS * 3, "{} and {} clicks", one.len(), other.len());
    let apart = differences_ms(one, other);
    if apart.len() < CLICKS / 2 {
        say(&format!(
            "skipped: the shared tick's agreement, since the browser's sound fell behind: {} clicks are sure",
            apart.len()
        ));
        return;
    }
    let at = |share: f64| apart[((apart.len() - 1) as f64 * share) as usize];
    say(&format!(
        "shared tick: {} clicks left two pages {:.2} ms apart in the median, 95 % within {:.2} ms, the last within {:.2} ms",
        apart.len(),
        at(0.5),
        at(0.95),
        at(1.0)
    ));
    // What is asked of devices is 3 ms for 95 % over a bad Wi-Fi (design budget); a busy machine gets some more.
    assert!(at(0.5) < 3.0 && at(0.95) < 10.0, "{apart:?}");
}

/// A beat and a half: at a larger gap a click is missing.
const MISSING_MS: f64 = 1.5 * 60_000.0 / BPM;

/// So many beats are half a minute: the longest break of the Wi-Fi that must do no harm (design budget).
const CUT_CLICKS: usize = (BPM / 2.0) as usize;

async fn two_pages(client: Client, server: TestServer) {
    let (server_url, code) = (server.url("/"), server.code().to_owned());
    let mut conductor = Conductor::open(&server).await;
    let first = join_tapped(&client, &server_url, &code, "Imogen").await;
    let second = join_tapped(&client, &server_url, &code, "Wilfred").await;
    // One page is asked for it by its player, the other by the conductor.
    choose_always(&client).await;
    conductor.command(ConductorSays::SetTick { from: TickFrom::Devices }).await;
    conductor.command(ConductorSays::SetTempo { bpm: Bpm::new(BPM).unwrap(), at: Moment::Now }).await;
    conductor.command(ConductorSays::SetSubdivision { per_beat: 1, at: Moment::Now }).await;
    conductor.command(ConductorSays::Start).await;
    wait_for_clicks(&client, CLICKS).await;

    let of_second = clicks(&client).await;
    client.switch_to_window(first.clone()).await.unwrap();
    let of_first = clicks(&client).await;
    check_agreement(&of_second, &of_first);

    // A page that is busy for two seconds.
    let before = of_first.len();
    let busy = "const until = performance.now() + 2000; while (performance.now() < until);";
    client.execute(busy, vec![]).await.unwrap();
    wait_for_clicks(&client, 4).await;
    let while_busy = clicks(&client).await[before - 1..].to_vec();
    say(&format!(
        "shared tick: {} clicks round a page busy for 2 s, largest gap {:.1} ms",
        while_busy.len(),
        largest_gap_ms(&while_busy)
    ));
    assert!(largest_gap_ms(&while_busy) < MISSING_MS, "{while_busy:?}");

    // A page that is hidden, as when the player looks at something else.
    let before = n_clicks(&client).await;
    client.minimize_window().await.unwrap();
    let visibility = client.execute("return document.visibilityState", vec![]).await.unwrap();
    if visibility == "hidden" {
        wait_for_clicks(&client, CLICKS).await;
        let hidden = clicks(&client).await[before..].to_vec();
        say(&format!(
            "shared tick: {} clicks while hidden, largest gap {:.1} ms",
            hidden.len(),
            largest_gap_ms(&hidden)
        ));
        assert!(largest_gap_ms(&hidden) < MISSING_MS, "{hidden:?}");
    } else {
        say(&format!(
            "skipped: the tick of a hidden page, since this browser keeps a minimised one {visibility}"
        ));
    }

    // Nobody is left sounding when the music stops: a click that is on its way may still come.
    conductor.command(ConductorSays::Stop { at: Moment::Now }).await;
    wait_until(20, "silence", async || {
        let last_s = clicks(&client).await.last().map_or(0.0, |click| click.0);
        let now_s = client.execute("return window.tap.context.currentTime", vec![]).await.unwrap();
        let quiet_ms = 1000.0 * (now_s.as_f64().unwrap() - last_s);
        if quiet_ms > 2.0 * MISSING_MS { Ok(()) } else { Err(format!("a click {quiet_ms:.0} ms ago")) }
    })
    .await;
    check_console(&client).await;
    client.switch_to_window(second).await.unwrap();
    check_console(&client).await;

    // Half a minute without a server.
    conductor.command(ConductorSays::Start).await;
    wait_for_clicks(&client, 2).await;
    let before = n_clicks(&client).await;
    drop(conductor);
    server.stop().await;
    wait_until(20, "that the room is missed", async || {
        let notice = text_of(&client, "notice-text").await;
        if notice.contains("cannot be reached") { Ok(()) } else { Err(notice) }
    })
    .await;
    wait_for_clicks(&client, CUT_CLICKS).await;
    let cut = clicks(&client).await[before..].to_vec();
    client.switch_to_window(first).await.unwrap();
    let of_first = clicks(&client).await;
    say(&format!(
        "shared tick: {} clicks without a server, largest gap {:.1} ms",
        cut.len(),
        largest_gap_ms(&cut)
    ));
    assert!(largest_gap_ms(&cut) < MISSING_MS, "{cut:?}");
    check_agreement(&cut[cut.len() - CLICKS..], &of_first);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_same_tick_leaves_two_pages_at_the_same_moment() {
    let Some(programs) = programs_or_say_skipped("the shared tick") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("beside-the-tick.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| two_pages(client, server)).await;
}
