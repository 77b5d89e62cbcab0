//! A bad Wi-Fi as a TCP proxy: it holds back what passes, unevenly and in order, and can be cut. Knows nothing of what it
//! carries.

use super::dice::{Dice, Way, delay_ms};
use std::net::SocketAddr;
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{mpsc, watch};
use tokio::task::JoinHandle;
use tokio::time::{Instant, sleep_until};

/// Chunks on their way in one direction of a connection; then the sender has to wait, as on a full network.
const ON_THE_WAY: usize = 1024;

/// What a network does to what passes in one direction of a connection.
#[derive(Debug, Clone, Copy)]
pub struct Link {
    /// Uneven delay, ms; see `delay_ms`.
    pub jitter_ms: f64,
    /// Delay of everything, ms.
    pub fixed_ms: f64,
    /// How much passes, bytes a second; infinite where nothing is held up by it.
    pub bytes_per_s: f64,
    /// Share of chunks that are lost and sent again, which holds up whatever is behind them.
    pub lost: f64,
    /// Until a lost one comes again, ms.
    pub sent_again_ms: f64,
}

impl Link {
    /// A Wi-Fi with enough room for all.
    pub fn wifi(jitter_ms: f64) -> Self {
        Self { jitter_ms, fixed_ms: 0.0, bytes_per_s: f64::INFINITY, lost: 0.0, sent_again_ms: 0.0 }
    }

    /// A phone network of the second generation where it is bad: 30 kbit/s, 300 ms each way, one chunk in fifty 1.2 s late. Common
    /// practice, no source; Chromium's own tools took 50 kbit/s and 300 ms for "Slow 2G" (from memory).
    pub fn thin() -> Self {
        let bytes_per_s = 30_000.0 / 8.0;
        Self { jitter_ms: 0.0, fixed_ms: 300.0, bytes_per_s, lost: 0.02, sent_again_ms: 1200.0 }
    }
}

/// A running proxy; it ends when it is dropped.
#[derive(Debug)]
pub struct Proxy {
    addr: SocketAddr,
    is_cut: watch::Sender<bool>,
    accepting: JoinHandle<()>,
}

impl Drop for Proxy {
    fn drop(&mut self) {
        self.accepting.abort();
    }
}

impl Proxy {
    /// Starts one before `server`.
    ///
    /// # Panics
    /// Where this computer has no free port: no run can go on then.
    pub async fn start(server: SocketAddr, link: Link, seed: u64) -> Self {
        let listener = TcpListener::bind(("127.0.0.1", 0)).await.expect("a free port");
        let addr = listener.local_addr().expect("a bound port has an address");
        let (is_cut, cut) = watch::channel(false);
        let accepting = tokio::spawn(async move {
            let mut n = 0;
            while let Ok((device, _)) = listener.accept().await {
                n += 1;
                if !*cut.borrow() {
                    tokio::spawn(carry(device, server, link, seed.wrapping_add(n << 32), cut.clone()));
                }
            }
        });
        Self { addr, is_cut, accepting }
    }

    /// Address of a socket's path behind it.
    pub fn socket_url(&self, path: &str) -> String {
        format!("ws://{}{path}", self.addr)
    }

    /// Where it takes connections.
    pub fn addr(&self) -> String {
        self.addr.to_string()
    }

    /// Breaks every connection and takes no more until [`Proxy::mend`].
    pub fn cut(&self) {
        self.is_cut.send_replace(true);
    }

    /// Takes connections again.
    pub fn mend(&self) {
        self.is_cut.send_replace(false);
    }
}

async fn carry(device: TcpStream, server: SocketAddr, link: Link, seed: u64, mut cut: watch::Receiver<bool>) {
    let Ok(server) = TcpStream::connect(server).await else { return };
    // A chunk that waited for an acknowledgement would be delayed by more than is asked.
    let _ = (device.set_nodelay(true), server.set_nodelay(true));
    let (from_device, to_device) = device.into_split();
    let (from_server, to_server) = server.into_split();
    tokio::select! {
        () = hold_back(from_device, to_server, Way::Out, link, Dice::new(seed)) => {}
        () = hold_back(from_server, to_device, Way::Back, link, Dice::new(!seed)) => {}
        // Its sender is gone when the run is over.
        _ = cut.wait_for(|cut| *cut) => {}
    }
}

/// Carries one direction until it ends.
async fn hold_back(
    mut from: impl AsyncRead + Unpin,
    mut to: impl AsyncWrite + Unpin,
    way: Way,
    link: Link,
    mut dice: Dice,
) {
    let (sender, mut on_the_way) = mpsc::channel::<(Instant, Vec<u8>)>(ON_THE_WAY);
    let take_in = async move {
        let mut chunk = vec![0; 16 * 1024];
        let mut free_at = Instant::now();
        while let Ok(n @ 1..) = from.read(&mut chunk).await {
            let mut takes_s = n as f64 / link.bytes_per_s;
            if link.lost > 0.0 && dice.throw() < link.lost {
                takes_s += link.sent_again_ms / 1000.0;
            }
            free_at = free_at.max(Instant::now()) + Duration::from_secs_f64(takes_s);
            let delay_ms = link.fixed_ms + delay_ms(way, link.jitter_ms, &mut dice);
            let due = free_at + Duration::from_secs_f64(delay_ms / 1000.0);
            if sender.send((due, chunk[..n].to_vec())).await.is_err() {
                return;
            }
        }
    };
    let hand_out = async move {
        while let Some((due, chunk)) = on_the_way.recv().await {
            // A timer would wait for the next whole millisecond, even for a moment that has come.
            if due > Instant::now() {
                sleep_until(due).await;
            }
            if to.write_all(&chunk).await.is_err() {
                return;
            }
        }
    };
    tokio::join!(take_in, hand_out);
}
