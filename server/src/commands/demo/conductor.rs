//! The demonstration's conductor: waits for the players, starts the music over the socket as the page does, and keeps
//! the newest picture of the room. It must know no rule of a rehearsal.

use super::plan_choice::ROOT_MIDI;
use crate::words::english;
use anyhow::{Context, bail};
use futures_util::{SinkExt, StreamExt};
use std::time::Duration;
use tokio::net::TcpStream;
use tokio::sync::watch;
use tokio::time::timeout;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async};
use windrow_protocol::messages::{ConductorHears, ConductorSays, Flow, Moment, Snapshot, Turns};
use windrow_protocol::note::Note;
use windrow_protocol::units::Bpm;
use windrow_protocol::voicing::Voicing;

/// Triplets, two exercises after the first, at 72: slow enough for a student, quick enough to see much in ten seconds.
const TEMPO_BPM: f64 = 72.0;
/// Longest wait for a player to join.
const JOINED_WITHIN: Duration = Duration::from_secs(20);
/// Longest silence of a room that shows itself five times a second.
const SILENT_FOR: Duration = Duration::from_secs(15);

/// A conductor's socket.
pub(super) struct Conductor {
    socket: WebSocketStream<MaybeTlsStream<TcpStream>>,
}

impl Conductor {
    /// Opens the socket.
    pub(super) async fn open(url: String) -> anyhow::Result<Self> {
        let (socket, _) = connect_async(url).await.context("cannot open the conductor's socket")?;
        Ok(Self { socket })
    }

    /// Waits until `n_players` are in the room.
    pub(super) async fn wait_for(&mut self, n_players: u16) -> anyhow::Result<()> {
        let all_here = async {
            while self.picture().await?.section.n_players < n_players {}
            Ok(())
        };
        let late = || format!("only {} players could join in time", n_players - 1);
        timeout(JOINED_WITHIN, all_here).await.with_context(late)?
    }

    /// Starts at once; whoever presses Start later is counted in.
    pub(super) async fn start_the_music(
        &mut self,
        voicing: Option<Voicing>,
        turns: Option<Turns>,
    ) -> anyhow::Result<()> {
        let bpm = Bpm::new(TEMPO_BPM).context("the demonstration's tempo")?;
        if let Some(voicing) = voicing {
            self.say(&ConductorSays::SetVoicing { voicing }).await?;
            self.say(&ConductorSays::SetNote { note: Note::from_midi(ROOT_MIDI), chair: None }).await?;
        }
        if let Some(turns) = turns {
            self.say(&ConductorSays::SetTurns { turns }).await?;
        }
        for says in [
            ConductorSays::Next { at: Moment::Bar },
            ConductorSays::Next { at: Moment::Bar },
            ConductorSays::SetTempo { bpm, at: Moment::Bar },
            ConductorSays::SetCountIn { bars: 0 },
            ConductorSays::Start,
            ConductorSays::SetCountIn { bars: 1 },
        ] {
            self.say(&says).await?;
        }
        Ok(())
    }

    /// Starts the plan that the room has; at an exercise's end it goes on by itself.
    pub(super) async fn start_the_plan(&mut self) -> anyhow::Result<()> {
        self.say(&ConductorSays::SetFlow { flow: Flow::GoOn }).await?;
        self.say(&ConductorSays::Start).await
    }

    /// Has the room checked and waits until it is done.
    pub(super) async fn check_the_room(&mut self) -> anyhow::Result<()> {
        self.say(&ConductorSays::CheckRoom { chairs: Vec::new() }).await?;
        let done = |room: &Snapshot| room.check.is_some_and(|c| !c.is_running) && room.score.is_none();
        while !done(&*self.picture().await?) {}
        Ok(())
    }

    /// Shows each picture of the room until told to stop.
    pub(super) async fn watch(
        mut self,
        show: watch::Sender<Option<Box<Snapshot>>>,
        mut stopped: watch::Receiver<bool>,
    ) -> anyhow::Result<()> {
        loop {
            tokio::select! {
                // An error means that the sender is gone: that is a stop as well.
                _ = stopped.wait_for(|&stop| stop) => break,
                room = self.picture() => show.send_replace(Some(room?)),
            };
        }
        // Whether the server still listens does not matter any more.
        let _ = timeout(SILENT_FOR, self.socket.close(None)).await;
        Ok(())
    }

    async fn say(&mut self, says: &ConductorSays) -> anyhow::Result<()> {
        let text = serde_json::to_string(says).context("a command has no JSON form")?;
        self.socket.send(Message::text(text)).await.context("the conductor's socket is gone")
    }

    async fn picture(&mut self) -> anyhow::Result<Box<Snapshot>> {
        loop {
            let message = timeout(SILENT_FOR, self.socket.next()).await.context("the room says nothing")?;
            let Some(message) = message else { bail!("the conductor's socket is gone") };
            let Message::Text(text) = message.context("the conductor's socket is gone")? else { continue };
            match serde_json::from_str(&text).context("a picture of the room cannot be read")? {
                ConductorHears::Room(room) => return Ok(room),
                ConductorHears::CannotDo { text } => {
                    bail!("the conductor could not do it: {}", english(&text))
                }
                ConductorHears::Refused(refused) => bail!("{}", english(&refused.text)),
                // Not asked for.
                ConductorHears::RoomChange(_) | ConductorHears::Clock(_) => {}
            }
        }
    }
}
