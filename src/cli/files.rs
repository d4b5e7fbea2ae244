//! Reading files, and writing them whole or not at all.

use crate::Companions;
use std::io::Write;
use std::path::Path;

/// Reads a file for the pipeline; says in a few words why it cannot.
///
/// # Errors
/// What the operating system says, in plain words.
pub fn load(path: &str) -> Result<Vec<u8>, String> {
    use std::io::ErrorKind;
    std::fs::read(path).map_err(|error| match error.kind() {
        ErrorKind::NotFound => "there is no such file".to_owned(),
        ErrorKind::PermissionDenied => "not permitted to read it".to_owned(),
        ErrorKind::IsADirectory => "it is a folder; name the design file in it".to_owned(),
        _ => error.to_string(),
    })
}

/// What lies beside a design file: `review.yaml`, and `units/*.yaml` in the order of their names.
/// The day is that of the clock, or of `SOURCE_DATE_EPOCH`.
#[must_use]
pub fn companions(design: &str) -> Companions {
    let folder = Path::new(design).parent().unwrap_or(Path::new(""));
    let review = folder.join("review.yaml");
    let mut units: Vec<String> = std::fs::read_dir(folder.join("units"))
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "yaml")
        })
        .map(|path| path.to_string_lossy().into_owned())
        .collect();
    units.sort();
    Companions {
        review: review
            .is_file()
            .then(|| review.to_string_lossy().into_owned()),
        units,
        today: today(),
    }
}

/// Today, year-month-day, UTC.
fn today() -> String {
    let now = std::env::var("SOURCE_DATE_EPOCH")
        .ok()
        .and_then(|text| text.trim().parse::<u64>().ok())
        .or_else(|| {
            let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
            since.ok().map(|since| since.as_secs())
        })
        .unwrap_or(0);
    day(now / 86_400)
}

/// The civil date of a day counted from 1970-01-01 (the proleptic Gregorian calendar, by eras of
/// 400 years that begin on 1 March).
fn day(days: u64) -> String {
    let shifted = days + 719_468;
    let (era, of_era) = (shifted / 146_097, shifted % 146_097);
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_index = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month_index + 2) / 5 + 1;
    let month = if month_index < 10 {
        month_index + 3
    } else {
        month_index - 9
    };
    let year = era * 400 + year_of_era + u64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

/// Writes a file whole: a temporary file beside it, synced, then renamed over it. Whatever
/// happens on the way, the former file stays as it was.
///
/// # Errors
/// What the operating system says.
pub fn write_whole(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".preplug-");
    #[cfg(unix)]
    let readable = std::os::unix::fs::PermissionsExt::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(readable);
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.persist(path).map_err(|error| error.error)?;
    // The rename itself is on disk only when the folder is.
    if let Ok(folder) = std::fs::File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::day;

    /// Days counted by an independent calendar (GNU date).
    #[test]
    fn days_become_dates() {
        assert_eq!(day(0), "1970-01-01");
        assert_eq!(day(19_782), "2024-02-29");
        assert_eq!(day(20_782), "2026-11-25");
        assert_eq!(day(47_540), "2100-02-28");
        assert_eq!(day(47_541), "2100-03-01");
    }
}
