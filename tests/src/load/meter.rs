//! What a process takes of the computer: time on its processors, and memory. The same on each system; on Linux from /proc.

use std::time::{Duration, Instant};
use sysinfo::{Pid, ProcessRefreshKind, ProcessesToUpdate, System};

/// A look at a process.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    at: Instant,
    on_processors: Duration,
    /// Resident memory.
    pub(super) rss_kb: f64,
}

impl Look {
    /// Of one processor since an earlier look: 1 is all of it.
    pub(super) fn share_since(&self, earlier: &Look) -> f64 {
        let took = self.on_processors.saturating_sub(earlier.on_processors);
        took.as_secs_f64() / (self.at - earlier.at).as_secs_f64()
    }
}

/// Looks at one process.
#[derive(Debug)]
pub(super) struct Meter {
    system: System,
    pid: Pid,
}

impl Meter {
    /// # Panics
    /// On a system that does not tell.
    pub(super) fn of(id: u32) -> Self {
        Self { system: System::new().expect("the system tells of processes"), pid: Pid::from_u32(id) }
    }

    /// # Panics
    /// When the process is gone.
    pub(super) fn look(&mut self) -> Look {
        let what = ProcessRefreshKind::nothing().with_cpu().with_memory();
        self.system.refresh_processes_specifics(ProcessesToUpdate::Some(&[self.pid]), false, what);
        let process = self.system.process(self.pid).expect("the process runs");
        Look {
            at: Instant::now(),
            on_processors: Duration::from_millis(process.accumulated_cpu_time()),
            rss_kb: process.memory() as f64 / 1024.0,
        }
    }
}
