//! `warmlug serve`: shows the browser application on this computer.

use super::error::CommandError;
use super::output;
use super::scan_code;
use super::terminal;
use crate::web::host::Host;
use crate::web::site::Site;
use std::io::{ErrorKind, IsTerminal};
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, UdpSocket};
use std::process::ExitCode;

/// Show the browser application on this computer, or on the local network for a trial
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  warmlug serve             for a browser on this computer; prints the address to open
  warmlug serve --lan       for a phone in the same network, to have a look

The address of this computer (localhost) counts as safe for a browser: everything works there, \
keys and certificates included. They belong to the address, so use the same --port each time.

With --lan, the connection is not encrypted (http). A phone then does not work offline, has no \
share sheet and keeps no key: no certificate can be signed there. To work with it, put the \
folder that `warmlug web` writes on a host whose address begins with https.")]
pub(super) struct Serve {
    /// Let the other devices in the local network open it too, for a trial
    #[arg(long)]
    lan: bool,
    /// Port; 0 takes any that is free
    #[arg(long, default_value_t = 8463)]
    port: u16,
}

const FOR_TRYING: &str = "For a trial only: the connection is not encrypted (http), so a phone does not \
work offline, has no share sheet and keeps no key, and no certificate can be signed there. To work with \
it, put the folder that `warmlug web` writes on a host whose address begins with https.";

impl Serve {
    pub(super) fn run(self) -> Result<ExitCode, CommandError> {
        let ip = if self.lan {
            Ipv4Addr::UNSPECIFIED
        } else {
            Ipv4Addr::LOCALHOST
        };
        let failed = |e: &std::io::Error| match e.kind() {
            ErrorKind::AddrInUse => CommandError::System(format!(
                "port {} is in use, perhaps by another `warmlug serve`; stop that one, or choose \
                 another with --port",
                self.port
            )),
            ErrorKind::PermissionDenied => CommandError::System(format!(
                "port {} requires administrator rights; choose one above 1023 with --port",
                self.port
            )),
            _ => CommandError::System(format!("port {} can't be opened: {e}", self.port)),
        };
        let listener = TcpListener::bind((ip, self.port)).map_err(|e| failed(&e))?;
        let port = listener.local_addr().map_err(|e| failed(&e))?.port();
        let site = Site::new();
        let digest = site.digest.clone();
        let address = if self.lan {
            let own = own_address().ok_or_else(|| {
                CommandError::System(
                    "this computer is not connected to a network; connect it, or omit \
                     --lan"
                        .to_owned(),
                )
            })?;
            format!("http://{}/", SocketAddr::new(own, port))
        } else {
            format!("http://localhost:{port}/")
        };
        output::print(&format!("{address}\n"))?;
        if self.lan {
            let colour = std::io::stderr().is_terminal();
            if let Some(code) = scan_code::code(&address, colour) {
                terminal::say(&code);
            }
            terminal::say(&terminal::wrap(FOR_TRYING, terminal::WIDTH, 0));
        } else {
            terminal::say(
                "Open it in a browser on this computer; for a phone in the same network, use --lan.",
            );
        }
        terminal::say(&format!(
            "SHA-256 of the page: {digest}\nPress Ctrl-C to stop."
        ));
        Host::new(site)
            .run(&listener)
            .map_err(|e| CommandError::System(format!("the network failed: {e}")))?;
        Ok(ExitCode::SUCCESS)
    }
}

/// This computer's address in the local network: the one from which it would reach another network.
/// Nothing is sent: connecting a datagram socket only looks up the route.
fn own_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    // An address for documentation (RFC 5737), which no network uses.
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    let own = socket.local_addr().ok()?.ip();
    (!own.is_unspecified()).then_some(own)
}
