//! The server: the page, its files, and the WebSocket.
//!
//! - Loopback only; port 0 lets the system choose one. It stops gracefully: open sockets are closed
//!   with a word, and the desk ends after the last of them.
//! - A message longer than [`LONGEST`] ends the connection; a message that does not read is answered.

use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::Sender;

use axum::body::Bytes;
use axum::extract::ws::{CloseFrame, Message, WebSocket, WebSocketUpgrade, close_code};
use axum::extract::{DefaultBodyLimit, Path, State};
use axum::middleware::from_fn_with_state;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use futures_util::{SinkExt, StreamExt};
use tokio::net::TcpListener;
use tokio::sync::{mpsc, oneshot, watch};

use crate::assets;
use crate::desk::{self, Event};
use crate::guard::{Denied, guard};
use crate::messages::{Ask, Tell};
use crate::pictures;

/// Longest message of a page: a stroke of thousands of points. [bytes]
const LONGEST: usize = 1 << 20;
/// Messages that may wait for a page before it is given up.
const WAITING: usize = 512;

/// What to serve.
#[derive(Debug, Clone)]
pub struct Options {
    /// Folder of the project.
    pub folder: PathBuf,
    /// Port; 0 lets the system choose.
    pub port: u16,
    /// Who edits, as the journal remembers.
    pub author: String,
}

/// Why the app does not start.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The port is taken or forbidden.
    #[error("port {port} cannot be used: {why}; leave out --port to let the system choose one")]
    Port {
        /// The port.
        port: u16,
        /// What the system says.
        why: std::io::Error,
    },
    /// Threads or sockets cannot be had.
    #[error("the app cannot start: {0}")]
    System(#[from] std::io::Error),
}

#[derive(Clone)]
struct Shared {
    desk: Sender<Event>,
    next: Arc<AtomicU64>,
    stop: watch::Receiver<bool>,
    folder: Arc<PathBuf>,
}

/// Serves a project until the process is asked to stop.
///
/// # Arguments
/// - `ready`: told the address as soon as pages can be opened.
///
/// # Errors
/// See [`ServeError`].
pub fn serve(options: &Options, ready: impl FnOnce(&str)) -> Result<(), ServeError> {
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    runtime.block_on(run(options, ready))
}

async fn run(options: &Options, ready: impl FnOnce(&str)) -> Result<(), ServeError> {
    let port = options.port;
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    let listener = TcpListener::bind(address).await.map_err(|why| ServeError::Port { port, why })?;
    let port = listener.local_addr()?.port();
    let desk = desk::start(options.folder.clone(), options.author.clone())?;
    let (stopping, stop) = watch::channel(false);
    let folder = Arc::new(options.folder.clone());
    let shared = Shared { desk, next: Arc::default(), stop, folder };
    let app = Router::new()
        .route("/", get(|| async { assets::page() }))
        .route("/assets/{digest}/{*name}", get(asset))
        .route("/live", get(live))
        .route("/pictures", post(keep_picture).layer(DefaultBodyLimit::max(pictures::LARGEST)))
        .route("/pictures/{*name}", get(picture))
        .fallback(|| async { Denied::Nothing })
        .layer(DefaultBodyLimit::max(LONGEST))
        .layer(from_fn_with_state(port, guard))
        .with_state(shared);
    ready(&format!("http://127.0.0.1:{port}/"));
    axum::serve(listener, app)
        .with_graceful_shutdown(async move {
            asked_to_stop().await;
            // Nobody listens any more where there is no open page.
            let _ = stopping.send(true);
        })
        .await?;
    Ok(())
}

/// Waits until the person or the system asks the process to stop.
async fn asked_to_stop() {
    let interrupt = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut terminate) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = interrupt => {}
                _ = terminate.recv() => {}
            }
            return;
        }
    }
    let _ = interrupt.await;
}

async fn asset(Path((digest, name)): Path<(String, String)>) -> Response {
    assets::file(&digest, &name)
}

/// What becomes of a picture that a page brings.
#[derive(serde::Serialize)]
#[serde(rename_all = "kebab-case")]
enum Brought {
    /// Its name below the project folder.
    Name(String),
    /// Why it is not kept, for a person.
    Why(String),
}

/// Keeps a picture. A refusal is an answer like any other: browsers take a status of 400 and more for
/// a fault of the page.
async fn keep_picture(State(shared): State<Shared>, bytes: Bytes) -> Json<Brought> {
    let kind = match pictures::kind(&bytes) {
        Ok(kind) => kind,
        Err(fault) => return Json(Brought::Why(fault.to_string())),
    };
    let (reply, answer) = oneshot::channel();
    let sent = shared.desk.send(Event::Picture { bytes: bytes.to_vec(), kind, reply }).is_ok();
    let answer = if sent { answer.await.ok() } else { None };
    Json(match answer {
        Some(Ok(name)) => Brought::Name(name),
        Some(Err(why)) => Brought::Why(why),
        None => Brought::Why("the app is being closed; start it again".to_owned()),
    })
}

async fn picture(State(shared): State<Shared>, Path(name): Path<String>) -> Response {
    let found = tokio::task::spawn_blocking(move || pictures::of_folder(&shared.folder, &name)).await;
    found.ok().flatten().unwrap_or_else(|| Denied::Nothing.into_response())
}

async fn live(State(shared): State<Shared>, upgrade: WebSocketUpgrade) -> Response {
    upgrade
        .max_message_size(LONGEST)
        .max_frame_size(LONGEST)
        .on_upgrade(move |socket| talk(shared, socket))
        .into_response()
}

/// One page's connection, from its opening to its end.
async fn talk(shared: Shared, socket: WebSocket) {
    let page = shared.next.fetch_add(1, Ordering::Relaxed);
    let (mut sink, mut stream) = socket.split();
    let (out, mut messages) = mpsc::channel::<String>(WAITING);
    let answers = out.clone();
    if shared.desk.send(Event::Open { page, out }).is_err() {
        return;
    }
    let mut stop = shared.stop.clone();
    loop {
        tokio::select! {
            message = messages.recv() => {
                // The desk gave the page up: it reads too slowly.
                let Some(text) = message else { break };
                if sink.send(Message::Text(text.into())).await.is_err() {
                    break;
                }
            }
            message = stream.next() => match message {
                Some(Ok(Message::Text(text))) => {
                    if !hear(&shared, page, &text, &answers) {
                        break;
                    }
                }
                Some(Ok(Message::Close(_)) | Err(_)) | None => break,
                Some(Ok(_)) => {}
            },
            _ = stop.changed() => {
                let frame = CloseFrame { code: close_code::AWAY, reason: "the app was closed".into() };
                let _ = sink.send(Message::Close(Some(frame))).await;
                break;
            }
        }
    }
    let _ = shared.desk.send(Event::Close { page });
}

/// Passes a message on to the desk; one that does not read is answered. False when the desk is gone.
fn hear(shared: &Shared, page: u64, text: &str, answers: &mpsc::Sender<String>) -> bool {
    match serde_json::from_str::<Ask>(text) {
        Ok(ask) => shared.desk.send(Event::Ask { page, ask }).is_ok(),
        Err(error) => {
            let why = format!("this message does not read: {error}");
            let tell = Tell::Refused { id: String::new(), trial: None, why };
            serde_json::to_string(&tell).is_ok_and(|text| answers.try_send(text).is_ok())
        }
    }
}
