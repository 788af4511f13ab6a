//! A message bus of the system or of the desktop, asked one thing at a time and never from the screen's thread.

use std::time::Duration;
use zbus::conn::Builder;
use zbus::{Connection, Message};

/// How long an answer is waited for. A service that is started for the question takes a moment (common practice, no
/// source).
const PATIENCE: Duration = Duration::from_secs(8);

/// An open line to a bus; what is held over it ends with it.
pub(super) struct Bus(Connection);

/// Whom a question goes to: the name on the bus, the object there, and the interface of the question.
pub(super) struct To {
    pub name: &'static str,
    pub path: &'static str,
    pub interface: &'static str,
}

impl Bus {
    /// The bus of the whole system.
    pub fn system() -> zbus::Result<Self> {
        Self::open(Builder::system()?)
    }

    /// The bus of whoever sits at the desktop.
    pub fn session() -> zbus::Result<Self> {
        Self::open(Builder::session()?)
    }

    #[cfg(test)]
    pub fn at(address: &str) -> zbus::Result<Self> {
        Self::open(Builder::address(address)?)
    }

    fn open(bus: Builder<'_>) -> zbus::Result<Self> {
        async_io::block_on(bus.method_timeout(PATIENCE).build()).map(Self)
    }

    /// Asks, and waits for the answer.
    pub fn ask<T>(&self, to: &To, question: &str, with: &T) -> zbus::Result<Message>
    where
        T: serde::Serialize + zbus::zvariant::DynamicType,
    {
        let asked = self
            .0
            .call_method(Some(to.name), to.path, Some(to.interface), question, with);
        async_io::block_on(asked)
    }
}

/// A bus of its own for tests, with one made-up service.
#[cfg(test)]
pub(super) mod made_up {
    use std::io::{BufRead, BufReader};
    use std::process::{Child, Command, Stdio};
    use zbus::conn::Builder;
    use zbus::object_server::Interface;
    use zbus::{Connection, names::WellKnownName};

    /// The bus, which ends with it.
    pub struct MadeUp {
        daemon: Child,
        pub address: String,
        _service: Option<Connection>,
    }

    impl MadeUp {
        /// A bus on which nobody answers.
        pub fn empty() -> Self {
            let mut daemon = Command::new("dbus-daemon")
                .args(["--session", "--nofork", "--print-address"])
                .stdout(Stdio::piped())
                .stderr(Stdio::null())
                .spawn()
                .expect("dbus-daemon is there");
            let mut address = String::new();
            let out = daemon.stdout.take().expect("its words");
            BufReader::new(out).read_line(&mut address).expect("its address");
            let address = address.trim().to_owned();
            Self {
                daemon,
                address,
                _service: None,
            }
        }

        /// A bus on which this service answers.
        pub fn with<S: Interface>(name: &'static str, path: &'static str, service: S) -> Self {
            let mut bus = Self::empty();
            let name: WellKnownName<'_> = name.try_into().expect("a name");
            let open = Builder::address(bus.address.as_str())
                .and_then(|open| open.name(name))
                .and_then(|open| open.serve_at(path, service))
                .expect("a service");
            bus._service = Some(async_io::block_on(open.build()).expect("the service is on the bus"));
            bus
        }
    }

    impl Drop for MadeUp {
        fn drop(&mut self) {
            // It may have ended already.
            let _ = self.daemon.kill();
            let _ = self.daemon.wait();
        }
    }
}
