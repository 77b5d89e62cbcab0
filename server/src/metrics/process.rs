//! What the system says of this program: time, memory, open files. Linux alone tells it in files; elsewhere there is nothing of it. The names are those
//! that Prometheus's clients have in common.

use prometheus_client::collector::Collector;
use prometheus_client::encoding::{DescriptorEncoder, EncodeMetric};
use prometheus_client::metrics::counter::ConstCounter;
use prometheus_client::metrics::gauge::ConstGauge;
use prometheus_client::registry::Unit;
use std::fmt::Error;

/// Asked anew each time.
#[derive(Debug)]
pub(super) struct Process;

#[derive(Debug, PartialEq)]
struct Used {
    cpu_s: f64,
    memory_bytes: i64,
    n_open_files: i64,
    n_threads: i64,
}

/// The unit of times in /proc, whatever the kernel counts in (proc(5), USER_HZ): 100 on every system that Rust has a standard library for.
const TICKS_PER_SECOND: f64 = 100.0;

fn used() -> Option<Used> {
    let files = std::fs::read_dir("/proc/self/fd").ok()?;
    let memory = std::fs::read_to_string("/proc/self/status").ok()?;
    read(&std::fs::read_to_string("/proc/self/stat").ok()?, &memory, files.count())
}

/// Fields as proc(5) counts them; before the last bracket stands the program's name, with whatever signs.
fn read(stat: &str, status: &str, n_files: usize) -> Option<Used> {
    let fields: Vec<&str> = stat.rsplit_once(')')?.1.split_whitespace().collect();
    // The third field of the file is the first here.
    let field = |number: usize| fields.get(number - 3)?.parse::<i64>().ok();
    let resident = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    let kibibytes: i64 = resident.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(Used {
        cpu_s: (field(14)? + field(15)?) as f64 / TICKS_PER_SECOND,
        memory_bytes: kibibytes * 1024,
        n_open_files: i64::try_from(n_files).ok()?,
        n_threads: field(20)?,
    })
}

impl Collector for Process {
    fn encode(&self, mut encoder: DescriptorEncoder<'_>) -> Result<(), Error> {
        let Some(used) = used() else { return Ok(()) };
        let cpu = ConstCounter::new(used.cpu_s);
        let help = "Processor time used";
        let unit = Some(&Unit::Seconds);
        cpu.encode(encoder.encode_descriptor("process_cpu", help, unit, cpu.metric_type())?)?;
        for (name, help, unit, n) in [
            ("process_resident_memory", "Memory held", Some(&Unit::Bytes), used.memory_bytes),
            ("process_open_fds", "Files and sockets that are open", None, used.n_open_files),
            ("process_threads", "Threads", None, used.n_threads),
        ] {
            let gauge = ConstGauge::new(n);
            gauge.encode(encoder.encode_descriptor(name, help, unit, gauge.metric_type())?)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_systems_lines_are_read_by_their_place() {
        // As proc(5) has them; fields 14 and 15 are user and system time, 20 the threads.
        let stat = "42 (wind) (row) S 1 42 42 0 -1 4194560 900 0 0 0 250 50 0 0 20 0 7 0 1000 123456 789 0";
        let status = "Name:\twindrow\nVmHWM:\t 9000 kB\nVmRSS:\t    8192 kB\nThreads:\t7\n";
        let expected = Used { cpu_s: 3.0, memory_bytes: 8_388_608, n_open_files: 12, n_threads: 7 };
        assert_eq!(read(stat, status, 12), Some(expected));
        assert_eq!(read("nonsense", status, 12), None);
        assert_eq!(read(stat, "", 12), None);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn this_program_holds_memory_and_files() {
        let used = used().unwrap();
        assert!(used.memory_bytes > 1_000_000 && used.n_open_files > 2 && used.n_threads > 0, "{used:?}");
    }
}
