//! Disks that take nothing: full, or only to be read.

#[cfg(target_os = "linux")]
pub(super) use on_linux::{full, read_only, starts};

#[cfg(not(target_os = "linux"))]
mod elsewhere {
    use crate::faults::{Row, Trying};
    const WHY: &str = "only on Linux";

    pub(in crate::faults) async fn full(_: &Trying) -> Vec<Row> {
        vec![Row::skipped("disk full", WHY)]
    }

    pub(in crate::faults) async fn read_only(_: &Trying) -> Vec<Row> {
        vec![Row::skipped("disk read-only", WHY)]
    }

    pub(in crate::faults) async fn starts(_: &Trying) -> Vec<Row> {
        vec![Row::skipped("start on a bad disk", WHY)]
    }
}

#[cfg(not(target_os = "linux"))]
pub(super) use elsewhere::{full, read_only, starts};

#[cfg(target_os = "linux")]
mod on_linux {
    use crate::faults::disk::{ReadOnlyDisk, SmallDisk};
    use crate::faults::rehearsal::{Rehearsal, SOON};
    use crate::faults::{Row, Trying};
    use std::path::Path;
    use std::process::{Command, Stdio};
    use std::time::Duration;
    use tokio::time::{Instant, sleep, timeout};

    const NOT_ALLOWED: &str = "not tried: a disk can be mounted by an administrator alone";
    /// How long the disk takes nothing.
    const FULL_FOR: Duration = Duration::from_secs(12);

    pub(in crate::faults) async fn full(trying: &Trying) -> Vec<Row> {
        let name = "disk full";
        let Some(disk) = SmallDisk::mount(24) else { return vec![Row::skipped(name, NOT_ALLOWED)] };
        let mut row = Row::new(name, "a disk of 24 MB filled for 12 s while playing, then room again");
        let dir = disk.path().join("records");
        if let Some(rehearsal) = Rehearsal::begin(trying, &dir, Default::default(), &mut row).await {
            disk.fill();
            rehearsal.is_told("the disk of this computer is full", &mut row).await;
            let (n_joins, n_unsafe) = (rehearsal.section.n_joins(), rehearsal.section.n_unsafe());
            sleep(FULL_FOR).await;
            if rehearsal.section.n_unsafe() <= n_unsafe {
                row.wrong("something was acknowledged on a full disk");
            }
            if rehearsal.section.n_joins() != n_joins {
                row.wrong("devices were sent away while nothing could be written");
            }
            rehearsal.went_on(&mut row);
            disk.make_room();
            rehearsal.is_over(&mut row).await;
            rehearsal.end(&mut row).await;
        }
        vec![row]
    }

    pub(in crate::faults) async fn read_only(trying: &Trying) -> Vec<Row> {
        let name = "disk read-only";
        let Some(disk) = ReadOnlyDisk::mount() else { return vec![Row::skipped(name, NOT_ALLOWED)] };
        let tried = "an ext4 disk that the system made read-only under the open files, as after errors; then repaired, server started anew";
        let mut row = Row::new(name, tried);
        let dir = disk.path().join("records");
        if let Some(mut rehearsal) = Rehearsal::begin(trying, &dir, Default::default(), &mut row).await {
            disk.give_up();
            rehearsal.is_told("can only be read", &mut row).await;
            sleep(Duration::from_secs(6)).await;
            rehearsal.went_on(&mut row);
            rehearsal.server.kill();
            if disk.repair() {
                let since = Instant::now();
                rehearsal.start_again().await;
                rehearsal.is_over_since(since, &mut row).await;
                rehearsal.end(&mut row).await;
            } else {
                row.wrong("the disk could not be repaired");
            }
        }
        vec![row]
    }

    pub(in crate::faults) async fn starts(trying: &Trying) -> Vec<Row> {
        let mut rows = Vec::new();
        let name = "start on a full disk";
        if let Some(disk) = SmallDisk::mount(1) {
            disk.fill();
            rows.push(start_refused(trying, name, disk.path(), "full").await);
        } else {
            rows.push(Row::skipped(name, NOT_ALLOWED));
        }
        let name = "start on a read-only disk";
        if let Some(disk) = ReadOnlyDisk::mount() {
            disk.give_up();
            rows.push(start_refused(trying, name, disk.path(), "read").await);
        } else {
            rows.push(Row::skipped(name, NOT_ALLOWED));
        }
        rows
    }

    /// The server does not start, and says why.
    async fn start_refused(trying: &Trying, name: &str, dir: &Path, word: &str) -> Row {
        let mut row = Row::new(name, "windrow serve");
        let mut command = Command::new(&trying.program);
        command.args(["serve", "--http", "127.0.0.1:0", "--no-https", "--data"]).arg(dir.join("records"));
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
        let run = tokio::task::spawn_blocking(move || command.output());
        match timeout(SOON, run).await {
            Ok(Ok(Ok(output))) => {
                let said = String::from_utf8_lossy(&output.stderr).trim().to_owned();
                if output.status.success() || !said.to_lowercase().contains(word) {
                    row.wrong("it does not say what is wrong");
                }
                row.told.extend(said.lines().last().map(str::to_owned));
            }
            _ => row.wrong("it neither starts nor ends"),
        }
        row
    }
}
