//! The verbs of the packager: see the library.

use std::process::ExitCode;

use anyhow::{Context, Result, bail};
use duskbook_packager::workspace::Workspace;
use duskbook_packager::{budgets::Budgets, figures, pictures, server::Server, site, soak, verify};

const USAGE: &str = "cargo site | cargo serve [--port N] [--apart] | cargo verify [--quick] | cargo soak | \
     cargo figures | cargo run -p duskbook-packager -- pictures";

/// The first port that `serve` tries.
const PORT: u16 = 8321;

fn main() -> ExitCode {
    match obey(&std::env::args().skip(1).collect::<Vec<_>>()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(told) => {
            eprintln!("{told:#}");
            ExitCode::FAILURE
        }
    }
}

fn obey(arguments: &[String]) -> Result<()> {
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let workspace = Workspace::find()?;
    match arguments.as_slice() {
        ["site"] => {
            let version = site::build(&workspace)?;
            println!("{} holds version {version}", workspace.dist().display());
        }
        ["serve", options @ ..] => {
            let (port, apart) = match options {
                [] => (None, false),
                ["--apart"] => (None, true),
                ["--port", port] => (Some(port), false),
                ["--port", port, "--apart"] | ["--apart", "--port", port] => (Some(port), true),
                _ => bail!("{USAGE}"),
            };
            let port =
                port.map(|port| port.parse().with_context(|| format!("no port: {port}"))).transpose()?;
            site::build(&workspace)?;
            let site = if apart { workspace.apart() } else { workspace.dist() };
            serve(match port {
                Some(port) => Server::start(&site, port)?,
                None => Server::start_near(&site, PORT)?,
            });
        }
        ["verify"] => verify::all(&workspace, false)?,
        ["verify", "--quick"] => verify::all(&workspace, true)?,
        ["soak"] => soak::all(&workspace)?,
        ["figures"] => {
            site::build(&workspace)?;
            println!("{}", figures::check(&workspace, &Budgets::read(&workspace)?)?);
        }
        ["pictures"] => {
            site::build(&workspace)?;
            pictures::take(&workspace)?;
        }
        _ => bail!("{USAGE}"),
    }
    Ok(())
}

fn serve(server: Server) {
    println!("{}  (Ctrl-C stops it)", server.address());
    server.wait();
}
