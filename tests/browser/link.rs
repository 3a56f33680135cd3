//! A phone walks out of the laptop's reach while a frame is being sent, counts on, and comes back:
//! a link that really goes down between two networks (`air`).

use fantoccini::Locator;
use tempfile::TempDir;

use crate::air::Air;
use crate::outbox::{STRIP, frames_of, mark_and_save, number, open_a_frame, until};
use crate::program::Program;
use crate::screen::{Browser, Screen};

/// The port that a server asked for 0 would get.
fn free_port() -> u16 {
    let listener = std::net::TcpListener::bind("0.0.0.0:0").unwrap();
    listener.local_addr().unwrap().port()
}

/// Whether something has arrived at a port that no program has read yet.
fn lies_unread(port: u16) -> bool {
    let table = std::fs::read_to_string("/proc/net/tcp").unwrap();
    // Local address, remote address, state, then bytes to send and bytes unread: all in hex.
    table.lines().skip(1).any(|line| {
        let words: Vec<&str> = line.split_whitespace().collect();
        let here = words[1].ends_with(&format!(":{port:04X}"));
        here && words[3] == "01" && !words[4].ends_with(":00000000")
    })
}

/// Waits for something outside the browser.
async fn until_so(what: &str, is_so: impl Fn() -> bool) {
    for _ in 0..2_400 {
        if is_so() {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
    }
    panic!("never so: {what}");
}

/// Lets the phone in, as two people do it: one at the laptop, one with the phone.
async fn let_in(laptop: &Program, phone: &Browser, door: &str) {
    let desk = Browser::open(Screen::Desk).await;
    let page = format!("{}/phones", laptop.address);
    desk.client.goto(&page).await.unwrap();
    desk.ask(
        "document.querySelector('[name=name]').value = 'Thea Marsh'; \
        document.querySelector('form[action=\"/phones/code\"] button').click()",
    )
    .await;
    until(&desk, "!!document.querySelector('.digits')").await;
    let code = desk
        .ask("return document.querySelector('.digits').innerText")
        .await;
    desk.close().await;
    phone.client.goto(&format!("{door}/pair")).await.unwrap();
    let field = phone.client.find(Locator::Id("code")).await.unwrap();
    field.send_keys(code.as_str().unwrap()).await.unwrap();
    phone
        .ask("document.querySelector('form button').click()")
        .await;
    until(phone, "location.pathname == '/plot'").await;
}

#[tokio::test]
async fn a_link_that_goes_down_while_a_frame_is_sent_loses_and_doubles_nothing() {
    let Some(air) = Air::new() else {
        return;
    };
    let folder = TempDir::new().unwrap();
    let port = free_port();
    let mut program = Program::sharing_demo_in(folder.path(), port);
    let book = folder.path().join("demo.standbook");
    let profile = TempDir::new().unwrap();
    let driver = || {
        let mut driver = air.on_the_phone("chromedriver");
        driver.arg(format!("--allowed-ips={}", air.driver));
        driver
    };
    let phone = Browser::open_by(Screen::Phone, profile.path(), &[], &air.phone, driver).await;
    let door = format!("http://{}:{port}", air.laptop);
    let_in(&program, &phone, &door).await;
    // From here on all that is asked is asked by the phone.
    program.address.clone_from(&door);
    open_a_frame(&phone, &program).await;
    let first = number(&phone).await;

    // The frame has reached the laptop and is not read yet when the link goes down: the laptop
    // will keep it, and its answer goes nowhere.
    program.signal("STOP");
    mark_and_save(&phone, 1..=3).await;
    until_so("a frame at the laptop", || lies_unread(port)).await;
    air.cut();
    program.signal("CONT");
    let by = "Thea Marsh".to_owned();
    until_so("the frame in the book", || {
        frames_of(&book) == [(by.clone(), first)]
    })
    .await;
    until(
        &phone,
        "document.querySelector('.kept').innerText.includes('not on the laptop yet')",
    )
    .await;
    until(&phone, &format!("{STRIP}.innerText.startsWith('1 unsent')")).await;

    // Counted while nothing gets through: this one is lost on its way to the laptop.
    assert_eq!(number(&phone).await, first + 1);
    mark_and_save(&phone, 4..=4).await;
    until(&phone, &format!("{STRIP}.innerText.startsWith('2 unsent')")).await;
    assert_eq!(frames_of(&book), [(by.clone(), first)]);

    // Back in reach: both go by themselves, and the first is known already.
    air.mend();
    until(&phone, &format!("{STRIP}.hidden")).await;
    assert_eq!(frames_of(&book), [(by.clone(), first), (by, first + 1)]);
    phone.close().await;
}
