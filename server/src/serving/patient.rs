//! A connection that is given up when its other end takes nothing for too long, whatever is spoken over it, and that lets little pile up in the
//! system. It must not know what is said.

use super::connections::{Connections, Place};
use crate::handles;
use axum_server::accept::Accept;
use socket2::SockRef;
use std::future::{Ready, ready};
use std::io::{self, ErrorKind, IoSlice};
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpStream;
use tokio::time::{Sleep, sleep};

/// A connection whose other end takes nothing for this long is closed: as long as a socket may be silent. Where the system can, it closes as well one
/// whose other end has acknowledged nothing for as long: a line's stream would be missed after a quarter of an hour otherwise.
const TAKEN_WITHIN: Duration = Duration::from_secs(30);
/// What the system keeps of a connection until it is acknowledged (Linux doubles this for its own books). By itself it takes megabytes: a
/// device that stopped reading would look alive for minutes, and a page on a slow link would be shown pictures from long ago. 128 KiB under way fill
/// 100 Mbit/s at 10 ms.
const SENT_AHEAD_BYTES: usize = 64 * 1024;
/// Where the system can tell: of this, not even sent yet.
#[cfg(target_os = "linux")]
const UNSENT_BYTES: u32 = 16 * 1024;

/// Makes accepted connections patient ones, within their number.
#[derive(Debug, Clone)]
pub(super) struct Patience {
    pub(super) connections: Connections,
}

impl<S> Accept<TcpStream, S> for Patience {
    type Stream = Patient;
    type Service = S;
    type Future = Ready<io::Result<(Patient, S)>>;

    fn accept(&self, stream: TcpStream, service: S) -> Self::Future {
        ready(Patient::new(stream, &self.connections).map(|stream| (stream, service)))
    }
}

/// An accepted connection.
#[derive(Debug)]
pub(super) struct Patient {
    stream: TcpStream,
    /// Runs while the other end takes nothing.
    until: Option<Pin<Box<Sleep>>>,
    #[expect(dead_code, reason = "held, never read")]
    place: Place,
}

impl Patient {
    fn new(stream: TcpStream, connections: &Connections) -> io::Result<Self> {
        let place = connections.take(stream.peer_addr()?);
        if connections.is_full() {
            handles::note_full();
        }
        let place = place.ok_or_else(|| io::Error::new(ErrorKind::QuotaExceeded, "too many connections"))?;
        // Without delay: a small message, such as a clock's answer or the music, would wait otherwise until the device has acknowledged an
        // earlier one.
        stream.set_nodelay(true)?;
        // What a system does not know it goes without.
        let _ = SockRef::from(&stream).set_send_buffer_size(SENT_AHEAD_BYTES);
        #[cfg(target_os = "linux")]
        let _ = SockRef::from(&stream).set_tcp_notsent_lowat(UNSENT_BYTES);
        #[cfg(target_os = "linux")]
        let _ = SockRef::from(&stream).set_tcp_user_timeout(Some(TAKEN_WITHIN));
        Ok(Self { stream, until: None, place })
    }

    /// What became of an attempt to write; fails where the attempts have been in vain for too long.
    fn tried(&mut self, written: Poll<io::Result<usize>>, cx: &mut Context<'_>) -> Poll<io::Result<usize>> {
        if written.is_ready() {
            self.until = None;
            return written;
        }
        let until = self.until.get_or_insert_with(|| Box::pin(sleep(TAKEN_WITHIN)));
        match until.as_mut().poll(cx) {
            Poll::Ready(()) => Poll::Ready(Err(ErrorKind::TimedOut.into())),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl AsyncRead for Patient {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(cx, into)
    }
}

impl AsyncWrite for Patient {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write(cx, bytes);
        self.tried(written, cx)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        pieces: &[IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write_vectored(cx, pieces);
        self.tried(written, cx)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(cx)
    }
}
