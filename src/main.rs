//! argv → [`preplug::cli`] → exit code.

fn main() -> std::process::ExitCode {
    std::process::ExitCode::SUCCESS
}
