//! A section that rehearses over whatever happens to its server: devices that come back by themselves, and a conductor's page that does,
//! starts the music again where it stopped, changes the tempo, and notes what it reads. It must know neither processes nor records.

use super::stand::Stand;
use crate::Conductor;
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::{OwnedMutexGuard, watch};
use tokio::task::JoinHandle;
use tokio::time::{Instant, sleep, timeout};
use windrow::words::{Language, Words};
use windrow_protocol::messages::{ConductorHears, ConductorSays, Moment, Snapshot};
use windrow_protocol::units::Bpm;

/// The conductor changes the tempo this often, so that there are spans.
const ANOTHER_TEMPO_EVERY: Duration = Duration::from_millis(2600);
/// Sixteenths of the warm-up that a room begins with.
const SIXTEENTHS: u16 = 5;
/// A page that hears nothing for this long takes its connection for dead (web/static/room-socket.js).
const SILENT: Duration = Duration::from_secs(9);
/// Pause of the conductor's page before another try.
const PAGE_TRIES_EVERY: Duration = Duration::from_millis(200);

/// Where the server is.
#[derive(Debug, Clone)]
pub(crate) struct Place {
    pub(crate) addr: String,
    pub(crate) code: String,
    pub(crate) key: String,
}

/// What can be seen of a device from outside.
#[derive(Debug, Default)]
struct Seat {
    is_in: AtomicBool,
    /// Number of the server that welcomed it last.
    server: AtomicU64,
    n_joins: AtomicU64,
    n_unsafe: AtomicUsize,
}

/// What can be seen of the conductor's page.
#[derive(Debug, Clone, Default)]
pub(crate) struct Page {
    server: u64,
    at: Option<Instant>,
    n_in: usize,
    pub(crate) plays: bool,
    /// What is read of what is wrong.
    pub(crate) notices: Vec<String>,
    /// Everything of that ever read.
    pub(crate) ever: Vec<String>,
    /// Longest time between two pictures since it was asked last.
    pub(crate) longest_gap: Duration,
    pub(crate) n_pictures: u64,
}

#[derive(Debug)]
struct Board {
    place: Mutex<Place>,
    /// Counts up at each start.
    server: AtomicU64,
    seats: Vec<Seat>,
    page: Mutex<Page>,
}

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A section, rehearsing.
#[derive(Debug)]
pub(crate) struct Section {
    board: Arc<Board>,
    stop: watch::Sender<bool>,
    stands: Vec<Arc<tokio::sync::Mutex<Stand>>>,
    tasks: Vec<JoinHandle<()>>,
}

impl Section {
    pub(crate) fn begin(place: Place, n_players: u16, seed: u64) -> Self {
        let stands: Vec<_> =
            (0..n_players).map(|i| Arc::new(tokio::sync::Mutex::new(Stand::new(i, seed)))).collect();
        let board = Arc::new(Board {
            place: Mutex::new(place),
            server: AtomicU64::new(1),
            seats: stands.iter().map(|_| Seat::default()).collect(),
            page: Mutex::default(),
        });
        let (stop, stopping) = watch::channel(false);
        let devices = stands.iter().enumerate();
        let mut tasks: Vec<_> = devices
            .map(|(i, stand)| tokio::spawn(go_on(i, stand.clone(), board.clone(), stopping.clone())))
            .collect();
        tasks.push(tokio::spawn(conduct(board.clone(), stopping)));
        Self { board, stop, stands, tasks }
    }

    /// The server is gone, or cut off: whoever comes in from now on is in another one.
    pub(crate) fn server_is_gone(&self) {
        self.board.server.fetch_add(1, Ordering::SeqCst);
    }

    /// What the room's code is now.
    pub(crate) fn code_is(&self, code: &str) {
        held(&self.board.place).code = code.to_owned();
    }

    /// Waits until every device is welcomed and the conductor's page shows all of them and the music; how long that took. None
    /// where it does not come to that.
    pub(crate) async fn all_back(&self, since: Instant, within: Duration) -> Option<Duration> {
        let server = self.board.server.load(Ordering::SeqCst);
        while since.elapsed() < within {
            let are_in = self.board.seats.iter().all(|seat| {
                seat.is_in.load(Ordering::SeqCst) && seat.server.load(Ordering::SeqCst) == server
            });
            let page = self.page();
            let is_shown = page.server == server && page.n_in >= self.stands.len() && page.plays;
            if are_in && is_shown && page.at.is_some_and(|at| at > since) {
                return Some(since.elapsed());
            }
            sleep(Duration::from_millis(5)).await;
        }
        None
    }

    /// What the conductor's page shows.
    pub(crate) fn page(&self) -> Page {
        held(&self.board.page).clone()
    }

    /// Counts gaps between pictures from now on.
    pub(crate) fn forget_gaps(&self) {
        let mut page = held(&self.board.page);
        (page.longest_gap, page.n_pictures) = (Duration::ZERO, 0);
    }

    /// Waits until something with these words is read, or nothing of what is wrong any more; how long that took.
    pub(crate) async fn reads(&self, part: Option<&str>, within: Duration) -> Option<Duration> {
        let since = Instant::now();
        while since.elapsed() < within {
            let page = self.page();
            let is_read = match part {
                Some(part) => page.notices.iter().any(|text| text.contains(part)),
                None => page.notices.is_empty(),
            };
            if is_read && page.at.is_some_and(|at| at > since) {
                return Some(since.elapsed());
            }
            sleep(Duration::from_millis(20)).await;
        }
        None
    }

    /// Messages that devices have and that are not safe.
    pub(crate) fn n_unsafe(&self) -> usize {
        self.board.seats.iter().map(|seat| seat.n_unsafe.load(Ordering::SeqCst)).sum()
    }

    /// Times that devices came in.
    pub(crate) fn n_joins(&self) -> u64 {
        self.board.seats.iter().map(|seat| seat.n_joins.load(Ordering::SeqCst)).sum()
    }

    /// Waits until what is not safe is what is always on its way: a second's messages of each.
    pub(crate) async fn all_safe(&self, within: Duration) -> Option<Duration> {
        let since = Instant::now();
        while since.elapsed() < within {
            if self.n_unsafe() <= 8 * self.stands.len()
                && self.board.seats.iter().all(|seat| seat.is_in.load(Ordering::SeqCst))
            {
                return Some(since.elapsed());
            }
            sleep(Duration::from_millis(20)).await;
        }
        None
    }

    /// The devices, while none of them has a connection: each lets go of its stand when it has lost its own.
    pub(crate) async fn stands(&self) -> Vec<OwnedMutexGuard<Stand>> {
        let mut all = Vec::new();
        for stand in &self.stands {
            all.push(stand.clone().lock_owned().await);
        }
        all
    }

    /// Ends the rehearsal and gives the devices back; the server may be there or not.
    pub(crate) async fn end(self) -> Vec<Stand> {
        self.stop.send_replace(true);
        for task in self.tasks {
            // One that stands still is not waited for.
            let abort = task.abort_handle();
            if timeout(Duration::from_secs(12), task).await.is_err() {
                abort.abort();
            }
        }
        let mut stands = Vec::new();
        for stand in self.stands {
            stands.push(Arc::into_inner(stand).expect("its task has ended").into_inner());
        }
        stands
    }
}

async fn go_on(
    i: usize,
    stand: Arc<tokio::sync::Mutex<Stand>>,
    board: Arc<Board>,
    mut stop: watch::Receiver<bool>,
) {
    let seat = &board.seats[i];
    let stopped = async {
        let _ = stop.wait_for(|stop| *stop).await;
    };
    let going_on = async {
        loop {
            let mut device = stand.lock().await;
            let (place, server) = (held(&board.place).clone(), board.server.load(Ordering::SeqCst));
            if let Some(player) = device.come_in(&place.addr, &place.code).await {
                seat.server.store(server, Ordering::SeqCst);
                seat.n_joins.fetch_add(1, Ordering::SeqCst);
                seat.is_in.store(true, Ordering::SeqCst);
                device.play(player, |n| seat.n_unsafe.store(n, Ordering::SeqCst)).await;
                seat.is_in.store(false, Ordering::SeqCst);
            }
            let pause = device.pause();
            device.play_alone(pause).await;
            drop(device);
            // Whoever wants to look at the stand gets in between.
            tokio::task::yield_now().await;
        }
    };
    tokio::select! {
        () = stopped => {}
        () = going_on => {}
    }
}

/// Leads until the section stops.
async fn conduct(board: Arc<Board>, mut stop: watch::Receiver<bool>) {
    let leading = async {
        loop {
            let (place, server) = (held(&board.place).clone(), board.server.load(Ordering::SeqCst));
            let url = format!("ws://{}/ws/conductor?key={}", place.addr, place.key);
            if let Ok(Some(page)) = timeout(SILENT, Conductor::try_open_at(&url)).await {
                lead(page, &board, server).await;
                held(&board.page).n_in = 0;
            }
            sleep(PAGE_TRIES_EVERY).await;
        }
    };
    tokio::select! {
        _ = stop.wait_for(|stop| *stop) => {}
        () = leading => {}
    }
}

/// One connection of the conductor's page.
async fn lead(mut conductor: Conductor, board: &Board, server: u64) {
    let bpm = |value| Bpm::new(value).expect("a tempo");
    let mut tempos = [66.0, 72.0].into_iter().cycle();
    let (mut next, mut heard_at) = (Instant::now() + ANOTHER_TEMPO_EVERY, Instant::now());
    let mut is_started = false;
    loop {
        tokio::select! {
            heard = conductor.hear() => match heard {
                Ok(ConductorHears::Room(room)) => {
                    heard_at = Instant::now();
                    note(board, &room, server);
                    let everybody = usize::from(room.section.n_players) >= board.seats.len();
                    if room.score.is_none() && !is_started && everybody {
                        is_started = true;
                        let commands = [
                            ConductorSays::Choose { exercise: SIXTEENTHS, at: Moment::Now },
                            ConductorSays::SetTempo { bpm: bpm(72.0), at: Moment::Now },
                            // A tempo changed while counting in would count in anew.
                            ConductorSays::SetCountIn { bars: 0 },
                            ConductorSays::Start,
                        ];
                        for command in &commands {
                            conductor.try_command(command).await;
                        }
                    }
                    is_started &= room.score.is_none();
                }
                Ok(_) => {}
                Err(_) => return,
            },
            () = tokio::time::sleep_until(next) => {
                if heard_at.elapsed() > SILENT {
                    return;
                }
                next += ANOTHER_TEMPO_EVERY;
                let bpm = bpm(tempos.next().expect("a cycle"));
                let command = ConductorSays::SetTempo { bpm, at: Moment::Beat };
                if !matches!(timeout(SILENT, conductor.try_command(&command)).await, Ok(true)) {
                    return;
                }
            }
        }
    }
}

fn note(board: &Board, room: &Snapshot, server: u64) {
    let words = Words::new(Language::English);
    let asks_nothing = room.notices.iter().filter(|notice| notice.answers.is_empty());
    let notices: Vec<String> = asks_nothing.map(|notice| words.phrase(&notice.text)).collect();
    let all = room.notices.iter().map(|notice| words.phrase(&notice.text));
    let mut page = held(&board.page);
    for text in all {
        if !page.ever.contains(&text) {
            page.ever.push(text);
        }
    }
    let now = Instant::now();
    if let Some(at) = page.at {
        page.longest_gap = page.longest_gap.max(now - at);
    }
    page.n_pictures += 1;
    page.at = Some(now);
    page.server = server;
    page.n_in = usize::from(room.section.n_players);
    page.plays = room.score.is_some();
    page.notices = notices;
}
