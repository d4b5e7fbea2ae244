//! Reading files, and writing them whole or not at all.

use super::COULD_NOT_FINISH;
use crate::Companions;
use std::io::{ErrorKind, Write};
use std::path::Path;
use time::OffsetDateTime;

/// Reads a file for the pipeline; says in a few words why it cannot.
///
/// # Errors
/// What the operating system says, in plain words.
pub fn load(path: &str) -> Result<Vec<u8>, String> {
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
pub fn today() -> String {
    source_date().unwrap_or_else(|| OffsetDateTime::now_utc().date().to_string())
}

/// The day of `SOURCE_DATE_EPOCH`, where it is set: for documents that must come out the same
/// whenever they are made.
#[must_use]
pub fn source_date() -> Option<String> {
    let seconds = std::env::var("SOURCE_DATE_EPOCH").ok()?;
    day(seconds.trim().parse().ok()?)
}

/// The day of a moment counted in seconds from 1970, UTC.
fn day(seconds: i64) -> Option<String> {
    let moment = OffsetDateTime::from_unix_timestamp(seconds).ok()?;
    Some(moment.date().to_string())
}

/// Writes a file that the user named, whole or not at all.
///
/// # Errors
/// The exit code; why, and what to do, is then already printed.
pub fn put(path: &Path, bytes: &[u8]) -> Result<(), u8> {
    write_whole(path, bytes).map_err(|error| {
        let why = why_not(path, error.kind());
        anstream::eprintln!("cannot write {}: {why}", path.display());
        COULD_NOT_FINISH
    })
}

/// Makes the folder that the user named, where it is not there yet.
///
/// # Errors
/// As for [`put`].
pub fn make_folder(path: &Path) -> Result<(), u8> {
    std::fs::create_dir_all(path).map_err(|error| {
        let why = match error.kind() {
            ErrorKind::AlreadyExists | ErrorKind::NotADirectory => {
                "a file of that name, or of that of a folder on the way, is there; name another"
                    .to_owned()
            }
            kind => words(kind),
        };
        anstream::eprintln!("cannot make the folder {}: {why}", path.display());
        COULD_NOT_FINISH
    })
}

/// Why a file cannot be written, and what to do.
fn why_not(path: &Path, kind: ErrorKind) -> String {
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    match folder {
        _ if path.is_dir() => "it is a folder; name a file in it".to_owned(),
        Some(folder) if !folder.exists() => {
            format!("there is no folder {}; make it first", folder.display())
        }
        Some(folder) if !folder.is_dir() => {
            format!(
                "{} is a file, not a folder; name another place",
                folder.display()
            )
        }
        _ => words(kind),
    }
}

/// What the operating system refuses, without the name of the temporary file.
fn words(kind: ErrorKind) -> String {
    match kind {
        ErrorKind::PermissionDenied => "not permitted there; name another place".to_owned(),
        ErrorKind::StorageFull => "the disk is full; make room and try again".to_owned(),
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only; name another place".to_owned(),
        kind => kind.to_string(),
    }
}

/// Writes a file whole: a temporary file beside it, synced, then renamed over it. Whatever
/// happens on the way, the former file stays as it was.
///
/// # Errors
/// What the operating system says.
pub fn write_whole(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    write(path, bytes, true)
}

/// The same for a file that must not be there yet; makes the folders on the way to it.
///
/// # Errors
/// What the operating system says; `AlreadyExists` if it is there.
pub fn write_new(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder)?;
    }
    write(path, bytes, false)
}

fn write(path: &Path, bytes: &[u8], over: bool) -> std::io::Result<()> {
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
    if over {
        file.persist(path).map_err(|error| error.error)?;
    } else {
        file.persist_noclobber(path).map_err(|error| error.error)?;
    }
    // The rename itself is on disk only when the folder is.
    if let Ok(folder) = std::fs::File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::day;

    /// Moments counted by an independent calendar (GNU date).
    #[test]
    fn moments_become_dates() {
        for (days, date) in [
            (0, "1970-01-01"),
            (19_782, "2024-02-29"),
            (20_782, "2026-11-25"),
            (47_540, "2100-02-28"),
            (47_541, "2100-03-01"),
        ] {
            assert_eq!(day(days * 86_400).as_deref(), Some(date));
            assert_eq!(day(days * 86_400 + 86_399).as_deref(), Some(date));
        }
    }
}
