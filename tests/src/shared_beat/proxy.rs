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
    pub async fn start(server: SocketAddr, jitter_ms: f64, seed: u64) -> Self {
        let listener = TcpListener::bind(("127.0.0.1", 0)).await.expect("a free port");
        let addr = listener.local_addr().expect("a bound port has an address");
        let (is_cut, cut) = watch::channel(false);
        let accepting = tokio::spawn(async move {
            let mut n = 0;
            while let Ok((device, _)) = listener.accept().await {
                n += 1;
                if !*cut.borrow() {
                    tokio::spawn(carry(device, server, jitter_ms, seed.wrapping_add(n << 32), cut.clone()));
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

async fn carry(
    device: TcpStream,
    server: SocketAddr,
    jitter_ms: f64,
    seed: u64,
    mut cut: watch::Receiver<bool>,
) {
    let Ok(server) = TcpStream::connect(server).await else { return };
    // A chunk that waited for an acknowledgement would be delayed by more than is asked.
    let _ = (device.set_nodelay(true), server.set_nodelay(true));
    let (from_device, to_device) = device.into_split();
    let (from_server, to_server) = server.into_split();
    tokio::select! {
        () = hold_back(from_device, to_server, Way::Out, jitter_ms, Dice::new(seed)) => {}
        () = hold_back(from_server, to_device, Way::Back, jitter_ms, Dice::new(!seed)) => {}
        // Its sender is gone when the run is over.
        _ = cut.wait_for(|cut| *cut) => {}
    }
}

/// Carries one direction until it ends.
async fn hold_back(
    mut from: impl AsyncRead + Unpin,
    mut to: impl AsyncWrite + Unpin,
    way: Way,
    jitter_ms: f64,
    mut dice: Dice,
) {
    let (sender, mut on_the_way) = mpsc::channel::<(Instant, Vec<u8>)>(ON_THE_WAY);
    let take_in = async move {
        let mut chunk = vec![0; 16 * 1024];
        while let Ok(n @ 1..) = from.read(&mut chunk).await {
            let delay = Duration::from_secs_f64(delay_ms(way, jitter_ms, &mut dice) / 1000.0);
            if sender.send((Instant::now() + delay, chunk[..n].to_vec())).await.is_err() {
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
