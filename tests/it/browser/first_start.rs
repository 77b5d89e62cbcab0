//! From an empty data directory to the join form over https, as a person with a phone meets it: the welcome page, the
//! certificate installed by hand, and the page that notices by itself.

use super::driver::{Browser, Microphone, programs_or_say_skipped, wait_until};
use super::text_of;
use super::trust::Home;
use crate::reach::{anywhere, own_address};
use fantoccini::{Client, Locator};
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use windrow::config::Https;
use windrow::{Network, NetworkSource};
use windrow_tests::TestServer;

/// A server that is open to all, in the networks that stand in the list.
async fn open_to(networks: Arc<Mutex<Vec<Network>>>) -> TestServer {
    let anywhere = anywhere();
    TestServer::start_with(move |config| {
        config.reach.http = anywhere;
        config.reach.https = Https::Own { addr: anywhere, constrained: true };
        config.reach.networks = NetworkSource::new(move || networks.lock().unwrap().clone());
        config.reach.look_every = Duration::from_millis(100);
    })
    .await
}

/// Where a phone begins: this computer's own address in its network, from which it sees what a phone does; without one the
/// page is opened by its own name.
fn first_address(server: &TestServer, ip: IpAddr) -> String {
    let port = server.running().http_addr.port();
    if ip.is_loopback() {
        format!("http://{ip}:{port}/welcome?code={}", server.code())
    } else {
        format!("http://{}/join/{}", SocketAddr::new(ip, port), server.code())
    }
}

/// A phone's own address where there is one.
fn phones_address(test: &str) -> IpAddr {
    own_address(test).unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST))
}

fn in_network(ips: &[IpAddr]) -> Vec<Network> {
    ips.iter().map(|&ip| Network { interface: "wlan0".to_owned(), ip }).collect()
}

async fn url(client: &Client) -> String {
    client.current_url().await.unwrap().to_string()
}

async fn read_the_welcome(client: &Client) {
    let seen = text_of(client, "seen").await;
    assert!(seen.contains("This device reaches the conductor’s computer"), "{seen}");
    let steps = client.find_all(Locator::Css("main ol")).await.unwrap();
    assert_eq!(steps.len(), 2, "two ways, each with its steps");
}

async fn wait_for_the_join_form(client: &Client, host: IpAddr, code: &str) {
    wait_until(20, "the join form over https", async || {
        let url = url(client).await;
        if url.starts_with("https://") { Ok(()) } else { Err(url) }
    })
    .await;
    let at = url(client).await;
    let host = if host.is_ipv6() { format!("[{host}]") } else { host.to_string() };
    assert!(at.starts_with(&format!("https://{host}:")) && at.ends_with(&format!("/join/{code}")), "{at}");
    client.find(Locator::XPath("//button[text()='Listen and join']")).await.unwrap();
    assert_eq!(client.execute("return window.isSecureContext", vec![]).await.unwrap(), true);
}

/// The page stays open all the time. Chromium remembers for half an hour that it refused a certificate, unless the new trust
/// comes through its own settings; here it comes from outside, so the server shows another certificate afterwards, as when
/// the laptop has joined one more network.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_open_page_notices_that_it_is_trusted_and_goes_on() {
    let test = "the page that notices";
    let Some(programs) = programs_or_say_skipped(test) else { return };
    let Some(home) = Home::new_or_say_skipped(test) else { return };
    let ip = phones_address(test);
    let networks = Arc::new(Mutex::new(in_network(&[ip])));
    let server = open_to(networks.clone()).await;
    let (begin, code) = (first_address(&server, ip), server.code().to_owned());
    let authority = server.data_dir().join("certificate/authority.pem");
    let browser = Browser::open_at(programs, Microphone::Missing, Some(&home.dir)).await;
    browser
        .during(|client| async move {
            client.goto(&begin).await.unwrap();
            read_the_welcome(&client).await;
            wait_until(20, "a first refusal", async || {
                let asked = "return performance.getEntriesByType('resource').some(e => e.name.endsWith('/welcome/trusted'))";
                if client.execute(asked, vec![]).await.unwrap() == true { Ok(()) } else { Err(String::new()) }
            })
            .await;
            assert!(url(&client).await.starts_with("http://"), "not trusted yet");
            home.trust(&authority);
            networks.lock().unwrap().extend(in_network(&["10.1.2.3".parse().unwrap()]));
            wait_for_the_join_form(&client, ip, &code).await;
        })
        .await;
}

/// What the page tells whoever does not get on: close the browser and open the page again. It asks for nothing then.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_browser_opened_again_goes_on_at_once() {
    let test = "a browser opened again";
    let Some(programs) = programs_or_say_skipped(test) else { return };
    let Some(home) = Home::new_or_say_skipped(test) else { return };
    let ip = phones_address(test);
    let server = open_to(Arc::new(Mutex::new(in_network(&[ip])))).await;
    let (begin, code) = (first_address(&server, ip), server.code().to_owned());
    let again = begin.clone();
    let browser = Browser::open_at(programs.clone(), Microphone::Missing, Some(&home.dir)).await;
    browser
        .during(|client| async move {
            client.goto(&begin).await.unwrap();
            read_the_welcome(&client).await;
        })
        .await;
    home.trust(&server.data_dir().join("certificate/authority.pem"));
    let browser = Browser::open_at(programs, Microphone::Missing, Some(&home.dir)).await;
    browser
        .during(move |client| async move {
            client.goto(&again).await.unwrap();
            wait_for_the_join_form(&client, ip, &code).await;
        })
        .await;
}

/// The other way: nothing is installed. Our page says the words that Chromium's warning says.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn whoever_goes_past_the_warning_is_in_and_need_not_do_it_again_next_time() {
    let test = "the way past the warning";
    let Some(programs) = programs_or_say_skipped(test) else { return };
    let Some(home) = Home::new_or_say_skipped(test) else { return };
    let ip = phones_address(test);
    let server = open_to(Arc::new(Mutex::new(in_network(&[ip])))).await;
    let (begin, code) = (first_address(&server, ip), server.code().to_owned());
    let browser = Browser::open_at(programs, Microphone::Missing, Some(&home.dir)).await;
    browser
        .during(|client| async move {
            client.goto(&begin).await.unwrap();
            read_the_welcome(&client).await;
            let told = client.find(Locator::Css("main")).await.unwrap().text().await.unwrap();
            client.find(Locator::Id("past")).await.unwrap().click().await.unwrap();
            let press = async |id: &str| {
                let button = client.wait().for_element(Locator::Id(id)).await.unwrap();
                let text = button.text().await.unwrap();
                assert!(told.contains(&format!("“{text}”")), "our page does not say {text:?}: {told}");
                button.click().await.unwrap();
            };
            press("details-button").await;
            press("proceed-link").await;
            wait_for_the_join_form(&client, ip, &code).await;

            client.goto(&begin).await.unwrap();
            wait_for_the_join_form(&client, ip, &code).await;
        })
        .await;
}
