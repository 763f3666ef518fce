//! The program `stemwall`: see `stemwall::cli`.

fn main() -> std::process::ExitCode {
    stemwall::cli::main()
}
