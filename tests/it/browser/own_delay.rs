//! "Set my timing" in a real browser: a page whose microphone hears its own loudspeaker through a delay measures it, keeps
//! it, and finds it again when it is opened anew.

use super::driver::{Browser, check_console, programs_or_say_skipped, say, wait_until};
use super::{join, text_of, write_microphone};
use fantoccini::{Client, Locator};
use std::path::PathBuf;
use windrow_tests::{Conductor, TestServer};

/// Delay between the page's loudspeaker and its microphone, ms: whole frames at 44,100 Hz, the rate of a browser without a
/// sound card.
const WAY_MS: f64 = 60.0;

/// Put into a page before it makes any sound: its microphone gives what a worklet without input sends to the loudspeaker,
/// which is the tick, `arguments[0]` seconds later, beside a straight F4 of eight harmonics whose fundamental has the
/// amplitude `arguments[1]`. All in the page's own context, so that no buffer between two of them adds to the way.
const LOOP: &str = r"
    const [delayS, amplitude] = arguments;
    const microphones = new Map();
    window.offsets = [];
    const microphoneOf = (context) => {
        if (microphones.has(context)) return microphones.get(context);
        const microphone = context.createGain();
        microphones.set(context, microphone);
        const tone = context.createOscillator();
        const partials = Float32Array.from({ length: 9 }, (_, h) => (h > 0 ? amplitude / h : 0));
        tone.setPeriodicWave(context.createPeriodicWave(new Float32Array(9), partials, { disableNormalization: true }));
        tone.frequency.value = 349.23;
        tone.connect(microphone);
        tone.start();
        setInterval(() => {
            const { contextTime, performanceTime } = context.getOutputTimestamp();
            if (contextTime > 0) window.offsets.push(performanceTime - contextTime * 1000);
        }, 100);
        return microphone;
    };
    AudioContext.prototype.createMediaStreamSource = function () {
        return microphoneOf(this);
    };
    const connect = AudioNode.prototype.connect;
    AudioNode.prototype.connect = function (to, ...more) {
        if (to instanceof AudioDestinationNode && this instanceof AudioWorkletNode && this.numberOfInputs === 0) {
            const way = this.context.createDelay(1);
            way.delayTime.value = delayS;
            connect.call(this, way);
            connect.call(way, microphoneOf(this.context));
        }
        return connect.call(this, to, ...more);
    };";

/// How far the page's context has fallen behind the page's clock, ms: as on a machine that is busy with something else.
pub(super) async fn fallen_behind_ms(client: &Client) -> f64 {
    let spread = "return Math.max(...window.offsets) - Math.min(...window.offsets)";
    client.execute(spread, vec![]).await.unwrap().as_f64().unwrap()
}

/// Opens a page that hears itself and a tone of this amplitude, and joins.
pub(super) async fn open_looped(client: &Client, server: &TestServer, tone: f64) {
    client.goto(&server.url("/")).await.unwrap();
    client.execute(LOOP, vec![(WAY_MS / 1000.0).into(), tone.into()]).await.unwrap();
    join(client, server.code(), "Imogen").await;
}

async fn press(client: &Client, selector: &str) {
    client.find(Locator::Css(selector)).await.unwrap().click().await.unwrap();
}

/// What "More" says of the device's timing; nothing where that is set.
async fn timing_said(client: &Client) -> String {
    press(client, "#more").await;
    let said = text_of(client, "timing").await;
    press(client, "#more-dialog form button").await;
    said
}

/// Measures with the loudspeaker; what the page says in the end.
async fn measure(client: &Client) -> String {
    press(client, "#timing-loudspeaker").await;
    wait_until(40, "the end of the measurement", async || {
        let is_running =
            client.find(Locator::Id("timing-cancel")).await.unwrap().is_displayed().await.unwrap();
        let said = text_of(client, "timing-said").await;
        if is_running { Err(said) } else { Ok(said) }
    })
    .await
}

async fn measured_and_kept(client: Client, server: TestServer) {
    let mut conductor = Conductor::open(&server).await;
    open_looped(&client, &server, 0.0).await;
    let unmeasured = timing_said(&client).await;
    assert!(unmeasured.contains("has not been measured"), "{unmeasured}");
    let is_calibrated =
        |wanted: bool| move |lane: &windrow_protocol::messages::Lane| lane.calibrated == wanted;
    conductor.see_lane("Imogen", is_calibrated(false)).await;

    press(&client, "#more").await;
    press(&client, "#timing [data-opens=timing]").await;
    let said = measure(&client).await;
    say(&format!("own delay: {said} {:.0} ms behind", fallen_behind_ms(&client).await));
    let delay_ms = said.strip_prefix("Done: the delay is ").and_then(|rest| rest.split(" ms").next());
    let delay_ms: f64 = delay_ms.and_then(|ms| ms.parse().ok()).unwrap_or_else(|| panic!("{said}"));
    assert!((delay_ms - WAY_MS).abs() <= 1.0, "{said}");
    press(&client, "#timing-close button").await;
    assert_eq!(timing_said(&client).await, "", "nothing is left to be measured");
    conductor.see_lane("Imogen", is_calibrated(true)).await;

    // The page is opened anew: the same devices, so the delay is known.
    open_looped(&client, &server, 0.0).await;
    assert_eq!(timing_said(&client).await, "");
    conductor.see_lane("Imogen", is_calibrated(true)).await;
    press(&client, "#more").await;
    press(&client, "#tick").await;
    press(&client, "#tick-dialog [data-opens=timing]").await;
    press(&client, "#timing-forget").await;
    press(&client, "#timing-close button").await;
    assert_eq!(timing_said(&client).await, unmeasured);
    conductor.see_lane("Imogen", is_calibrated(false)).await;
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_device_that_hears_itself_measures_its_delay_and_keeps_it() {
    let Some(programs) = programs_or_say_skipped("the device's own delay") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("own-delay.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| measured_and_kept(client, server)).await;
}
