//! Bytes to and from a meter, within a time.

use super::MeterError;
use crate::scpi::{Address, LONGEST};
use serialport::{ClearBuffer, SerialPort};
use std::io::{ErrorKind, Read, Write};
use std::net::{SocketAddr, TcpStream, ToSocketAddrs};
use std::time::{Duration, Instant};

/// How long a meter may take for a reply. A slow integration takes about a second (common practice, no source).
pub const PATIENCE: Duration = Duration::from_secs(3);
/// The longest wait for a line to come up.
const CONNECTING: Duration = Duration::from_secs(2);

/// An open line.
pub(super) struct Line {
    at: Address,
    patience: Duration,
    port: Port,
}

enum Port {
    Network(TcpStream),
    Serial(Box<dyn SerialPort>),
}

impl Line {
    /// Opens the line.
    ///
    /// # Errors
    /// `Unreachable`.
    pub fn open(at: &Address, patience: Duration) -> Result<Self, MeterError> {
        let port = match at {
            Address::Tcp { host, port } => network(host, *port).map(Port::Network),
            Address::Serial { path, baud } => serialport::new(path, *baud)
                .timeout(patience)
                .open()
                .map(Port::Serial)
                .map_err(|error| error.to_string()),
        };
        let port = port.map_err(|why| MeterError::Unreachable { at: at.clone(), why })?;
        Ok(Self {
            at: at.clone(),
            patience,
            port,
        })
    }

    /// Asks one question and gives the one line of its reply, without the line's end.
    ///
    /// After an error the line is of no use: a late reply would be taken for that of the next question.
    ///
    /// # Errors
    /// `Silent`, `Broken` or `Garbled`.
    pub fn ask(&mut self, question: &str) -> Result<String, MeterError> {
        let until = Instant::now() + self.patience;
        if let Port::Serial(port) = &self.port {
            // What a meter said before it was asked is no answer.
            port.clear(ClearBuffer::Input)
                .map_err(|error| self.broken(&error.to_string()))?;
        }
        self.tell(question)?;
        let reply = self.line(question, until)?;
        let text = String::from_utf8(reply).ok();
        text.filter(|text| text.bytes().all(|byte| (b' '..=b'~').contains(&byte)))
            .map(|text| text.trim().to_owned())
            .ok_or_else(|| self.garbled(question))
    }

    /// Sends a message.
    ///
    /// # Errors
    /// `Broken`.
    pub fn tell(&mut self, message: &str) -> Result<(), MeterError> {
        let bytes = format!("{message}\n");
        let sent = match &mut self.port {
            Port::Network(stream) => stream
                .set_write_timeout(Some(self.patience))
                .and_then(|()| stream.write_all(bytes.as_bytes())),
            Port::Serial(port) => port.write_all(bytes.as_bytes()),
        };
        sent.map_err(|error| self.broken(&error.to_string()))
    }

    fn line(&mut self, question: &str, until: Instant) -> Result<Vec<u8>, MeterError> {
        let mut reply = Vec::new();
        let mut some = [0; LONGEST];
        loop {
            let left = until.saturating_duration_since(Instant::now());
            let read = if left.is_zero() {
                Err(ErrorKind::TimedOut.into())
            } else {
                self.port.read(&mut some, left)
            };
            match read {
                Ok(0) => return Err(self.broken("it was closed at the other end")),
                Ok(count) => reply.extend_from_slice(&some[..count]),
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) if matches!(error.kind(), ErrorKind::TimedOut | ErrorKind::WouldBlock) => {
                    return Err(MeterError::Silent {
                        at: self.at.clone(),
                        asked: question.to_owned(),
                        waited: self.patience,
                    });
                }
                Err(error) => return Err(self.broken(&error.to_string())),
            }
            match reply.iter().position(|&byte| byte == b'\n') {
                Some(end) if end + 1 == reply.len() => {
                    reply.pop();
                    if reply.last() == Some(&b'\r') {
                        reply.pop();
                    }
                    return Ok(reply);
                }
                None if reply.len() <= LONGEST => {}
                _ => return Err(self.garbled(question)),
            }
        }
    }

    fn broken(&self, why: &str) -> MeterError {
        MeterError::Broken {
            at: self.at.clone(),
            why: why.to_owned(),
        }
    }

    fn garbled(&self, question: &str) -> MeterError {
        MeterError::Garbled {
            at: self.at.clone(),
            asked: question.to_owned(),
        }
    }
}

impl Port {
    fn read(&mut self, into: &mut [u8], within: Duration) -> std::io::Result<usize> {
        match self {
            Self::Network(stream) => {
                stream.set_read_timeout(Some(within))?;
                stream.read(into)
            }
            Self::Serial(port) => {
                port.set_timeout(within)?;
                port.read(into)
            }
        }
    }
}

fn network(host: &str, port: u16) -> Result<TcpStream, String> {
    let found: Vec<SocketAddr> = (host, port)
        .to_socket_addrs()
        .map_err(|error| error.to_string())?
        .collect();
    let mut why = "no such host".to_owned();
    for address in found {
        match TcpStream::connect_timeout(&address, CONNECTING) {
            // Without this, a question of a few bytes may wait for the reply to the one before.
            Ok(stream) => {
                return stream
                    .set_nodelay(true)
                    .map(|()| stream)
                    .map_err(|e| e.to_string());
            }
            Err(error) => why = error.to_string(),
        }
    }
    Err(why)
}
