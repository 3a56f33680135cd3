//! A browser window of a given size.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::http::request;

/// What the page is looked at on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Screen {
    /// 390 x 844 with touch.
    Phone,
    /// 1280 x 800.
    Desk,
}

/// A browser, closed when its driver is dropped.
pub struct Browser {
    pub client: Client,
    /// Address of the driver: what it can do beyond its client.
    pub at: String,
    driver: Child,
    /// Its folder, when it is its own.
    _own: Option<TempDir>,
    profile: PathBuf,
}

impl Browser {
    /// Opens an empty browser.
    pub async fn open(screen: Screen) -> Browser {
        let profile = TempDir::new().unwrap();
        let mut browser = Browser::open_in(screen, profile.path()).await;
        browser._own = Some(profile);
        browser
    }

    /// Opens a browser that knows what it knew when it was closed.
    pub async fn open_in(screen: Screen, profile: &Path) -> Browser {
        let driver = || Command::new("chromedriver");
        Browser::open_by(screen, profile, &[], "127.0.0.1", driver).await
    }

    /// The same for a person of another home, whose certificates it trusts, with more arguments.
    pub async fn open_at(screen: Screen, profile: &Path, home: &Path, more: &[String]) -> Browser {
        let driver = || {
            let mut command = Command::new("chromedriver");
            command.env("HOME", home);
            command
        };
        Browser::open_by(screen, profile, more, "127.0.0.1", driver).await
    }

    /// The same by a driver that is started in another way and answers at another address.
    pub async fn open_by(
        screen: Screen,
        profile: &Path,
        more: &[String],
        address: &str,
        start: impl Fn() -> Command,
    ) -> Browser {
        // Now and then it finds the free port that it chose taken, says so and ends.
        let (driver, port) = (0..3)
            .find_map(|_| driver(start()))
            .expect("chromedriver says its port");
        let mut options = json!({
            "args": ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                "--disable-background-networking", "--disable-component-update", "--disable-sync",
                "--window-size=1280,800",
                format!("--user-data-dir={}", profile.display())],
        });
        if let Some(all) = options["args"].as_array_mut() {
            all.extend(more.iter().cloned().map(Value::from));
        }
        if screen == Screen::Phone {
            options["mobileEmulation"] = json!({
                "deviceMetrics": {"width": 390, "height": 844, "pixelRatio": 2.0, "touch": true}
            });
        }
        let mut capabilities = serde_json::Map::new();
        capabilities.insert("goog:chromeOptions".to_owned(), options);
        let at = format!("http://{address}:{port}");
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(capabilities)
            .connect(&at)
            .await
            .expect("chromium starts: run `cargo xtask test`, which installs it");
        Browser {
            client,
            at,
            driver,
            _own: None,
            profile: profile.to_owned(),
        }
    }

    /// Asks the page a question in its own terms.
    pub async fn ask(&self, script: &str) -> Value {
        self.client.execute(script, Vec::new()).await.unwrap()
    }

    /// A command of Chromium's own tools, and what it answers.
    pub async fn cdp(&self, command: &str, params: Value) -> Value {
        let session = self.client.session_id().await.unwrap().unwrap();
        let path = format!("/session/{session}/goog/cdp/execute");
        let command = json!({"cmd": command, "params": params}).to_string();
        let (head, body) = request(&self.at, "POST", &path, &command);
        assert!(head.starts_with("HTTP/1.1 200"), "{head} {body}");
        let answer: Value = serde_json::from_str(&body).unwrap();
        answer["value"].clone()
    }

    /// Makes the page's processor so many times slower.
    pub async fn slow_down(&self, times: u32) {
        self.cdp("Emulation.setCPUThrottlingRate", json!({"rate": times}))
            .await;
    }

    /// As a phone whose battery dies: every process of it, without a chance to finish anything.
    pub fn kill(self) {
        let folder = self.profile.display().to_string();
        for process in std::fs::read_dir("/proc").unwrap().flatten() {
            let line = std::fs::read(process.path().join("cmdline")).unwrap_or_default();
            if String::from_utf8_lossy(&line).contains(&folder) {
                let number = process.file_name();
                let _ = Command::new("kill").arg("-9").arg(number).status();
            }
        }
        let _ = std::fs::remove_file(self.profile.join("SingletonLock"));
    }

    /// Closes the window.
    pub async fn close(self) {
        let _ = self.client.clone().close().await;
    }
}

/// Starts Debian's chromedriver on any free port.
fn driver(mut command: Command) -> Option<(Child, u16)> {
    let mut driver = command
        .arg("--port=0")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("chromedriver starts: run `cargo xtask test`, which installs it, or install chromium-driver");
    let port = BufReader::new(driver.stdout.take().unwrap())
        .lines()
        .map_while(Result::ok)
        .find_map(|line| {
            let rest = line.split("started successfully on port ").nth(1)?;
            rest.trim_end_matches('.').trim().parse().ok()
        });
    if port.is_none() {
        let _ = driver.kill();
        let _ = driver.wait();
    }
    Some((driver, port?))
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}
