//! Forms as a browser sees them, read out of a page.
//!
//! In: HTML. Out: what the form would send, with hidden fields, defaults, ticks and choices. To
//! fill in a field that the page does not offer is a fault of the page, so it panics.
//! Not a general parser: it reads what our templates write.

/// One thing in a form that has a name.
#[derive(Debug, Clone)]
struct Control {
    /// `hidden`, `text`, `checkbox`, `radio`, `textarea`, `select` or `button`.
    kind: String,
    name: String,
    /// The value; of a select the chosen one.
    value: String,
    /// Whether a box is ticked, a button pressed.
    on: bool,
    /// What a select offers.
    options: Vec<String>,
}

/// A form.
#[derive(Debug, Clone)]
pub struct Form {
    /// `get` or `post`.
    pub method: String,
    /// Where it goes.
    pub action: String,
    controls: Vec<Control>,
}

impl Form {
    /// The first form of a page that goes to `action` by `method` and has a control `name`.
    #[track_caller]
    pub fn find(page: &str, method: &str, action: &str, name: &str) -> Form {
        let all = Form::all(page);
        let found = all.iter().find(|f| {
            f.method == method && f.action == action && f.controls.iter().any(|c| c.name == name)
        });
        found
            .unwrap_or_else(|| panic!("no {method} form to {action} with `{name}` among {all:?}"))
            .clone()
    }

    fn all(page: &str) -> Vec<Form> {
        let mut forms: Vec<Form> = Vec::new();
        let mut open = false;
        for tag in tags(page) {
            if tag.name == "form" {
                open = true;
                forms.push(Form {
                    method: tag.get("method").unwrap_or("get").to_owned(),
                    action: tag.get("action").unwrap_or_default().to_owned(),
                    controls: Vec::new(),
                });
                continue;
            }
            open &= tag.name != "/form";
            if let (true, Some(form)) = (open, forms.last_mut()) {
                form.take(&tag);
            }
        }
        forms
    }

    fn take(&mut self, tag: &Tag) {
        let has = |name: &str| tag.get(name).is_some();
        let kind = match tag.name.as_str() {
            "input" => tag.get("type").unwrap_or("text"),
            "option" => {
                let value = tag
                    .get("value")
                    .map_or_else(|| tag.text.trim().to_owned(), str::to_owned);
                let select = self
                    .controls
                    .last_mut()
                    .filter(|c| c.kind == "select")
                    .expect("a select");
                // Without a chosen option a browser sends the first.
                if has("selected") || select.options.is_empty() {
                    select.value.clone_from(&value);
                }
                select.options.push(value);
                return;
            }
            name @ ("textarea" | "select" | "button") => name,
            _ => return,
        };
        let box_like = matches!(kind, "checkbox" | "radio");
        let value = match kind {
            "textarea" => tag.text.trim_start_matches('\n'),
            _ => tag.get("value").unwrap_or(if box_like { "on" } else { "" }),
        };
        self.controls.push(Control {
            kind: kind.to_owned(),
            name: tag.get("name").unwrap_or_default().to_owned(),
            value: value.to_owned(),
            on: has("checked") || !(box_like || kind == "button"),
            options: Vec::new(),
        });
    }

    /// The value of a field as it stands.
    #[track_caller]
    pub fn value(&self, name: &str) -> &str {
        let found = self.controls.iter().find(|c| c.name == name && c.on);
        &found
            .unwrap_or_else(|| panic!("`{name}` is not filled in: {self:?}"))
            .value
    }

    /// Types into a field, or chooses from a list.
    #[track_caller]
    pub fn fill(mut self, name: &str, value: &str) -> Form {
        let typed = |c: &&mut Control| {
            c.name == name && matches!(c.kind.as_str(), "text" | "date" | "textarea" | "select")
        };
        let Some(control) = self.controls.iter_mut().find(typed) else {
            panic!("no field `{name}` in the form to {}", self.action);
        };
        assert!(
            control.kind != "select" || control.options.iter().any(|o| o == value),
            "`{name}` does not offer `{value}`: {:?}",
            control.options
        );
        value.clone_into(&mut control.value);
        self
    }

    /// Ticks a box or chooses one of several.
    #[track_caller]
    pub fn tick(mut self, name: &str, value: &str) -> Form {
        let mut found = false;
        for control in self.controls.iter_mut().filter(|c| c.name == name) {
            let this =
                control.value == value && matches!(control.kind.as_str(), "checkbox" | "radio");
            found |= this;
            match control.kind.as_str() {
                "radio" => control.on = this,
                "checkbox" => control.on |= this,
                _ => {}
            }
        }
        assert!(
            found,
            "no `{name}` with `{value}` in the form to {}",
            self.action
        );
        self
    }

    /// Presses a button that has a name.
    #[track_caller]
    pub fn press(mut self, name: &str, value: &str) -> Form {
        let found = self
            .controls
            .iter_mut()
            .find(|c| c.kind == "button" && c.name == name && c.value == value);
        match found {
            Some(button) => button.on = true,
            None => panic!(
                "no button `{name}` with `{value}` in the form to {}",
                self.action
            ),
        }
        self
    }

    /// The values of the buttons of this name.
    pub fn buttons(&self, name: &str) -> Vec<&str> {
        self.controls
            .iter()
            .filter(|c| c.kind == "button" && c.name == name)
            .map(|c| c.value.as_str())
            .collect()
    }

    /// The place, from 0, of a field with this value among those of its name.
    #[track_caller]
    pub fn place_of(&self, name: &str, value: &str) -> usize {
        let mut named = self.controls.iter().filter(|c| c.name == name);
        named
            .position(|c| c.value == value)
            .unwrap_or_else(|| panic!("no `{name}` with `{value}`"))
    }

    /// The address that a form sent by GET leads to.
    #[track_caller]
    pub fn address(&self) -> String {
        assert_eq!(self.method, "get");
        format!("{}?{}", self.action, self.encoded())
    }

    /// What the browser sends.
    pub fn encoded(&self) -> String {
        let pairs = self.controls.iter().filter(|c| c.on && !c.name.is_empty());
        encode(pairs.map(|c| (c.name.as_str(), c.value.as_str())))
    }
}

/// Fields as `application/x-www-form-urlencoded`.
pub fn encode<'a>(fields: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let percent = |text: &str| -> String {
        text.bytes()
            .map(|b| match b {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' => {
                    char::from(b).to_string()
                }
                b' ' => "+".to_owned(),
                other => format!("%{other:02X}"),
            })
            .collect()
    };
    let pairs: Vec<String> = fields
        .map(|(n, v)| format!("{}={}", percent(n), percent(v)))
        .collect();
    pairs.join("&")
}

/// The first link of a page to an address that starts with `start` and ends with `end`.
#[track_caller]
pub fn link(page: &str, start: &str, end: &str) -> String {
    let links: Vec<String> = tags(page)
        .into_iter()
        .filter(|tag| tag.name == "a")
        .filter_map(|tag| tag.get("href").map(str::to_owned))
        .collect();
    let found = links
        .iter()
        .find(|href| href.starts_with(start) && href.ends_with(end));
    found
        .unwrap_or_else(|| panic!("no link {start}...{end} among {links:?}"))
        .clone()
}

/// A tag with what follows it up to the next one.
struct Tag {
    name: String,
    attributes: Vec<(String, String)>,
    text: String,
}

impl Tag {
    fn get(&self, name: &str) -> Option<&str> {
        self.attributes
            .iter()
            .find(|(n, _)| n == name)
            .map(|(_, v)| v.as_str())
    }
}

fn tags(page: &str) -> Vec<Tag> {
    page.split('<').skip(1).map(tag).collect()
}

/// Reads `input name="a" checked>text`; askama writes no bare `<` or `>` inside values.
fn tag(piece: &str) -> Tag {
    let (inside, text) = piece.split_once('>').unwrap_or((piece, ""));
    let (name, mut rest) = inside
        .split_once(char::is_whitespace)
        .unwrap_or((inside, ""));
    let mut attributes = Vec::new();
    loop {
        rest = rest.trim_start();
        let end = rest
            .find(|c: char| c == '=' || c.is_whitespace())
            .unwrap_or(rest.len());
        if end == 0 {
            break;
        }
        let attribute = &rest[..end];
        rest = &rest[end..];
        let mut value = "";
        if let Some(after) = rest.strip_prefix('=') {
            let (quoted, end) = match after.strip_prefix('"') {
                Some(quoted) => (quoted, quoted.find('"').expect("a closing quote")),
                None => (
                    after,
                    after.find(char::is_whitespace).unwrap_or(after.len()),
                ),
            };
            value = &quoted[..end];
            rest = quoted[end..].trim_start_matches('"');
        }
        attributes.push((attribute.to_owned(), decode(value)));
    }
    Tag {
        name: name.to_owned(),
        attributes,
        text: decode(text),
    }
}

/// Text with its character references read.
pub fn decode(text: &str) -> String {
    let mut plain = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('&') {
        plain += before;
        let (name, after) = after
            .split_once(';')
            .expect("a character reference with its semicolon");
        plain.push(match name {
            "amp" => '&',
            "lt" => '<',
            "gt" => '>',
            "quot" => '"',
            _ => name
                .strip_prefix('#')
                .and_then(|number| number.parse().ok())
                .and_then(char::from_u32)
                .unwrap_or_else(|| panic!("unknown character reference &{name};")),
        });
        rest = after;
    }
    plain + rest
}
