//! Processor time of processes, as Linux counts it.

use std::path::Path;

/// Ticks of the kernel's accounts in a second (`USER_HZ`, proc(5)).
const TICKS: f64 = 100.0;

/// Seconds of processor time that a process and its ended children have used.
pub(crate) fn of_process(id: u32) -> f64 {
    fields(id).map_or(0.0, |fields| fields[11..15].iter().sum::<u64>() as f64 / TICKS)
}

/// Seconds that a PostgreSQL server and those it started have used, from the folder that its command line names.
pub(crate) fn of_server(folder: &str) -> f64 {
    let processes = || {
        let entries = std::fs::read_dir("/proc").unwrap().flatten();
        entries.filter_map(|entry| entry.file_name().to_str()?.parse::<u32>().ok())
    };
    let command = |id: u32| std::fs::read(Path::new("/proc").join(id.to_string()).join("cmdline"));
    let is_server = |id: &u32| {
        let command = command(*id).unwrap_or_default();
        let text = String::from_utf8_lossy(&command).into_owned();
        let program = text.split('\0').next().unwrap_or_default();
        program.ends_with("/postgres") && text.contains(folder)
    };
    let Some(server) = processes().find(is_server) else { return 0.0 };
    let children = processes().filter(|id| fields(*id).is_some_and(|fields| fields[1] == u64::from(server)));
    of_process(server) + children.map(of_process).sum::<f64>()
}

/// The numbers of `/proc/ID/stat` behind the name; a field that is no number counts as zero.
fn fields(id: u32) -> Option<Vec<u64>> {
    let text = std::fs::read_to_string(Path::new("/proc").join(id.to_string()).join("stat")).ok()?;
    let (_, behind) = text.rsplit_once(") ")?;
    Some(behind.split(' ').map(|field| field.trim().parse().unwrap_or(0)).collect())
}
