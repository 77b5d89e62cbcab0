//! "Set my timing" in a real browser: a page whose microphone hears its own loudspeaker through a delay measures it, keeps
//! it, and finds it again when it is opened anew.

use super::driver::{Browser, check_console, programs_or_say_skipped, say, wait_until};
use super::{join, text_of, write_microphone};
use fantoccini::{Client, Locator};
use std::path::PathBuf;
use windrow_tests::{Conductor, TestServer};

/// Delay between the page's loudspeaker and its microphone, ms; the browser's own way between two contexts comes on top.
const WAY_MS: f64 = 60.0;

/// What that own way may take at most, ms: a few buffers of 10 ms. Common practice, no source.
const OWN_WAY_MS: f64 = 150.0;

/// How often a player would try.
const TRIES: usize = 4;

/// Put into a page before it asks for the microphone: what a worklet without input sends to the loudspeaker, which is the
/// tick, comes back as the microphone's sound, `arguments[0]` seconds later.
const LOOP: &str = r"
    const air = new AudioContext();
    const hears = air.createMediaStreamDestination();
    const way = air.createDelay(1);
    way.delayTime.value = arguments[0];
    way.connect(hears);
    navigator.mediaDevices.getUserMedia = async () => {
        await air.resume();
        return hears.stream;
    };
    const connect = AudioNode.prototype.connect;
    AudioNode.prototype.connect = function (to, ...more) {
        if (to instanceof AudioDestinationNode && this instanceof AudioWorkletNode && this.numberOfInputs === 0) {
            const leaves = this.context.createMediaStreamDestination();
            connect.call(this, leaves);
            connect.call(air.createMediaStreamSource(leaves.stream), way);
        }
        return connect.call(this, to, ...more);
    };";

async fn open(client: &Client, url: &str, code: &str) {
    client.goto(url).await.unwrap();
    client.execute(LOOP, vec![(WAY_MS / 1000.0).into()]).await.unwrap();
    join(client, code, "Imogen").await;
}

async fn press(client: &Client, selector: &str) {
    client.find(Locator::Css(selector)).await.unwrap().click().await.unwrap();
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

async fn measured_and_kept(client: Client, url: String, code: String, mut conductor: Conductor) {
    open(&client, &url, &code).await;
    let unmeasured = text_of(&client, "timing").await;
    assert!(unmeasured.contains("has not been measured"), "{unmeasured}");
    let is_calibrated =
        |wanted: bool| move |lane: &windrow_protocol::messages::Lane| lane.calibrated == wanted;
    conductor.see_lane("Imogen", is_calibrated(false)).await;

    press(&client, "#timing [data-opens=timing]").await;
    // Where the machine is busy with something else, sound is lost between the contexts: then the page says what a player
    // would read, and to try again.
    let mut said = measure(&client).await;
    for _ in 0..TRIES - 1 {
        if !said.starts_with("Done") {
            say(&format!("own delay: {said}"));
            said = measure(&client).await;
        }
    }
    let delay_ms = said.strip_prefix("Done: the delay is ").and_then(|rest| rest.split(" ms").next());
    let delay_ms: f64 = delay_ms.and_then(|ms| ms.parse().ok()).unwrap_or_else(|| panic!("{said}"));
    say(&format!("own delay: a way of {WAY_MS} ms and the browser's own are heard as {delay_ms} ms"));
    assert!((WAY_MS..WAY_MS + OWN_WAY_MS).contains(&delay_ms), "{said}");
    press(&client, "#timing-close button").await;
    assert_eq!(text_of(&client, "timing").await, "", "nothing is left to be measured");
    conductor.see_lane("Imogen", is_calibrated(true)).await;

    // The page is opened anew: the same devices, so the delay is known.
    open(&client, &url, &code).await;
    assert_eq!(text_of(&client, "timing").await, "");
    conductor.see_lane("Imogen", is_calibrated(true)).await;
    press(&client, "#tick").await;
    press(&client, "#tick-dialog [data-opens=timing]").await;
    press(&client, "#timing-forget").await;
    press(&client, "#timing-close button").await;
    assert_eq!(text_of(&client, "timing").await, unmeasured);
    conductor.see_lane("Imogen", is_calibrated(false)).await;
    check_console(&client).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_device_that_hears_itself_measures_its_delay_and_keeps_it() {
    let Some(programs) = programs_or_say_skipped("the device's own delay") else { return };
    let microphone = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("own-delay.wav");
    write_microphone(&microphone);
    let server = TestServer::start().await;
    let (url, code) = (server.url("/"), server.code().to_owned());
    let conductor = Conductor::open(&server).await;
    let browser = Browser::open(programs, &microphone).await;
    browser.during(|client| measured_and_kept(client, url, code, conductor)).await;
}
