//! argv → [`preplug::cli`] → exit code.

fn main() -> std::process::ExitCode {
    preplug::cli::run()
}
