//! Reading files, and writing them whole or not at all.

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
