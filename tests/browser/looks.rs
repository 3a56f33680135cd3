//! What a tired person in the sun would curse, on every page that links lead to.

use std::collections::{BTreeSet, VecDeque};

use serde_json::Value;

use crate::program::Program;
use crate::screen::{Browser, Screen};

/// Most pages looked at on one screen; the demo has some hundred determinations alike.
const MOST_PAGES: usize = 150;

/// Most pages of one kind (addresses alike but for ids).
const MOST_ALIKE: usize = 2;

/// Asked of every page. Returns a list of complaints.
/// * Nothing may be wider than the screen.
/// * What is pressed is at least 48 px high (design; WCAG 2.2 asks for 44 at level AAA), links
///   within a sentence excepted.
/// * Text stands out at 7:1 or better (WCAG 2.2, 1.4.6, level AAA), large text at 4.5:1.
/// * The page has at most 30 KB before compression (design).
/// * Fields have labels (WCAG 2.2, 4.1.2); there is one h1; the one script is a module of ours.
pub const COMPLAINTS: &str = r#"
const said = [];
const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
if (wide > 1) {
  const who = [...document.querySelectorAll('main *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.scroll'));
  said.push('wider than the screen by ' + wide + ' px: ' + who.slice(0, 3).map(e => e.tagName + '.' + e.className).join(' '));
}
const shown = e => { const r = e.getBoundingClientRect(); return r.width > 0 && r.height > 0 && e.checkVisibility(); };
for (const e of document.querySelectorAll('button, .button, .bar a, .rows a, label.choice, summary, input:not([type=hidden]):not([type=checkbox]):not([type=radio]), select, textarea')) {
  const h = e.getBoundingClientRect().height;
  if (shown(e) && !e.matches('[aria-hidden=true], .unseen') && h < 44) said.push('only ' + Math.round(h) + ' px high: ' + e.tagName + ' ' + (e.textContent || e.name || '').trim().slice(0, 30));
}
const rgb = text => { const m = text.match(/[\d.]+/g).map(Number); return m.length > 3 ? m : [...m.slice(0, 3), 1]; };
const lum = c => { const f = v => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }; return 0.2126 * f(c[0]) + 0.7152 * f(c[1]) + 0.0722 * f(c[2]); };
const ground = e => { for (; e; e = e.parentElement) { const c = rgb(getComputedStyle(e).backgroundColor); if (c[3] > 0.99) return c; } return [255, 255, 255, 1]; };
const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
const faint = new Set();
while (walk.nextNode()) {
  const e = walk.currentNode.parentElement;
  if (!walk.currentNode.data.trim() || !shown(e) || e.closest('svg, option, .skip')) continue;
  const style = getComputedStyle(e), size = parseFloat(style.fontSize);
  const a = lum(rgb(style.color)), b = lum(ground(e));
  const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  const large = size >= 24 || (size >= 18.66 && +style.fontWeight >= 700);
  if (ratio < (large ? 4.5 : 7)) faint.add(ratio.toFixed(1) + ':1 "' + walk.currentNode.data.trim().slice(0, 30) + '"');
}
for (const f of faint) said.push('faint: ' + f);
for (const e of document.querySelectorAll('input:not([type=hidden]), select, textarea')) {
  if (!e.labels.length && !e.getAttribute('aria-label')) said.push('no label: ' + e.name);
}
if (document.querySelectorAll('h1').length !== 1) said.push(document.querySelectorAll('h1').length + ' h1');
const bytes = performance.getEntriesByType('navigation')[0].decodedBodySize;
// A report is made to be printed at a desk, with all its sources; nobody fetches it in a field.
// The glossary draws every state of the key on one page, read once and indoors. The booklet is the
// whole key at once, to be printed at a desk: a drawing stands in it once, and it may not grow to
// twice what it has. The page for out of reach holds a whole visit and the key; what it may have on
// its way, compressed, `crates/web/tests/pages/away.rs` says. Labels are printed at a desk; each has a code, which
// is some 4 KB to draw.
const most = location.pathname.endsWith('/report') ? 61440 : location.pathname === '/key/glossary' ? 153600
  : location.pathname === '/key/booklet' ? 460800 : location.pathname.endsWith('/pocket') ? 358400 : location.pathname === '/desk/vouchers/labels' ? 204800 : 30720;
if (bytes > most) said.push(bytes + ' bytes');
for (const s of document.scripts) if (s.type != 'application/json' && (s.type != 'module' || !new URL(s.src).pathname.startsWith('/assets/') || s.text)) said.push('a script that is not ours, or within the page');
if (document.querySelector('[style]')) said.push('an inline style, which the content policy drops');
return said;
"#;

/// The addresses that a page links to, here only.
const LINKS: &str = "return [...document.querySelectorAll('a[href]')].map(a => a.href)
    .filter(h => h.startsWith(location.origin)).map(h => h.slice(location.origin.length).split('#')[0]);";

/// What axe-core says of a page by the rules of WCAG 2.2, A and AA, and its own good practice; with
/// `STANDBOOK_AXE` only, which `cargo xtask axe` sets.
const AXE: &str = "const [done] = arguments;
    for (const details of document.querySelectorAll('details')) details.open = true;
    axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] })
        .then(said => done(said.violations.map(v => v.id + ': ' + v.nodes[0].target.join(' ')
            + ': ' + v.nodes[0].failureSummary)), e => done(['' + e]));";

/// An address with its ids replaced, so that pages alike are counted together.
fn kind(address: &str) -> String {
    let path = address.split('?').next().unwrap_or(address);
    path.split('/')
        .map(|part| {
            let id = part.len() == 36 && part.matches('-').count() == 4;
            if id { "*" } else { part }
        })
        .collect::<Vec<_>>()
        .join("/")
}

/// Whether an address gives a file to keep: a browser stays on the page that links to it.
fn is_file(address: &str) -> bool {
    let path = address.split('?').next().unwrap_or(address);
    [".csv", ".json", ".gpx", ".geojson", ".crt"]
        .iter()
        .any(|ending| path.ends_with(ending))
}

async fn look_at_everything(screen: Screen) {
    let folder = tempfile::tempdir().unwrap();
    let program = Program::sharing_in(folder.path());
    let browser = Browser::open(screen).await;
    let axe = std::env::var("STANDBOOK_AXE")
        .ok()
        .map(|path| std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}")));
    let first = [
        "/plot", "/desk", "/stand", "/key", "/phones", "/outbox", "/trust", "/away",
    ];
    let mut open: VecDeque<String> = first.map(String::from).into();
    let mut seen = BTreeSet::new();
    let mut alike = std::collections::BTreeMap::<String, usize>::new();
    let mut complaints = Vec::new();
    while let Some(address) = open.pop_front() {
        let count = alike.entry(kind(&address)).or_default();
        if *count >= MOST_ALIKE || seen.len() >= MOST_PAGES || !seen.insert(address.clone()) {
            continue;
        }
        *count += 1;
        browser
            .client
            .goto(&format!("{}{address}", program.address))
            .await
            .unwrap();
        let said = browser.ask(COMPLAINTS).await;
        for complaint in said.as_array().into_iter().flatten() {
            complaints.push(format!(
                "{address}: {}",
                complaint.as_str().unwrap_or_default()
            ));
        }
        if let Some(axe) = &axe {
            browser.ask(axe).await;
            let found = browser.client.execute_async(AXE, Vec::new()).await.unwrap();
            for rule in found.as_array().into_iter().flatten() {
                complaints.push(format!(
                    "{address}: axe: {}",
                    rule.as_str().unwrap_or_default()
                ));
            }
        }
        let title = browser.client.title().await.unwrap();
        if title.starts_with("Not here") || title.starts_with("Something broke") {
            complaints.push(format!(
                "{address}: a link leads to \u{201c}{title}\u{201d}"
            ));
        }
        if let Value::Array(links) = browser.ask(LINKS).await {
            let links = links.iter().filter_map(Value::as_str);
            open.extend(
                links
                    .filter(|l| !l.starts_with("/photos/") && !l.starts_with("/assets/"))
                    .filter(|l| !is_file(l))
                    .map(str::to_owned),
            );
        }
    }
    browser.close().await;
    assert!(
        seen.len() >= 15,
        "only {} pages were reached: {seen:?}",
        seen.len()
    );
    for place in [
        "/plot",
        "/at/*/plant",
        "/at/*/count",
        "/stand/*",
        "/stand/*/worked",
        "/stand/*/report",
        "/stand/standards",
        "/planting/*/outline",
        "/planting/*/plan",
        "/planting/*/seeding",
        "/plan/*",
        "/visits/*/walk",
        "/desk",
        "/desk/merge",
        "/desk/book",
        "/desk/vouchers",
        "/desk/vouchers/labels",
        "/desk/come-back",
        "/determinations/*/voucher",
        "/determinations/*/come-back",
        "/come-back/*/seen",
        "/desk/take-out",
        "/determinations/*",
        "/key/couplets",
        "/key/glossary",
        "/key/booklet",
    ] {
        assert!(alike.contains_key(place), "no link leads to {place}");
    }
    assert!(
        complaints.is_empty(),
        "{} complaint(s):\n{}",
        complaints.len(),
        complaints.join("\n")
    );
}

#[tokio::test]
async fn every_page_is_right_on_a_phone() {
    look_at_everything(Screen::Phone).await;
}

#[tokio::test]
async fn every_page_is_right_on_a_desk() {
    look_at_everything(Screen::Desk).await;
}
