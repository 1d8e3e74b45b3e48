//! What a reader does on the page and sees there. The ids named here are the page's promise to the tests.

use anyhow::{Context, Result, ensure};
use serde_json::json;
use thirtyfour::{By, Key};

use crate::stage::Stage;

/// A spot in its own address: an invented name, in a zone whose clocks change.
pub const QUAY: &str = "#spot?v=1&name=Cormorant+Quay&lat=50.31&lon=-4.87&elev=6&zone=Europe%2FLondon&bearing=248&skyline=1.5&format=36x24&focal=28&walk=15&setup=20&aperture=2.8-11&iso=100-3200";

/// Where that is.
pub const QUAY_AT: (f64, f64) = (50.31, -4.87);

impl Stage {
    /// Opens the quay from its address and waits for it.
    pub async fn open_quay(&self) -> Result<()> {
        self.open(QUAY).await?;
        self.until_text("#spot-name", "Cormorant Quay").await
    }

    /// Waits until nothing on the page is about to be drawn anew.
    pub async fn settled(&self) -> Result<()> {
        self.until("!document.querySelector('[aria-busy]')").await
    }

    /// The text of the first element that a selector finds, hidden or not.
    pub async fn text(&self, selector: &str) -> Result<String> {
        self.settled().await?;
        let body = "return document.querySelector(arguments[0])?.textContent";
        let text = self.script(body, vec![json!(selector)]).await?;
        Ok(text.as_str().with_context(|| format!("nothing at {selector}"))?.trim().to_owned())
    }

    /// Waits for an element's text to contain a word.
    pub async fn until_text(&self, selector: &str, word: &str) -> Result<()> {
        let text = format!("document.querySelector({})?.textContent", json!(selector));
        self.until_told(&format!("{text}?.includes({})", json!(word)), &text).await
    }

    /// Waits until the page says that it works with no signal.
    pub async fn until_ready_offline(&self) -> Result<()> {
        self.until_text("#offline-state", "ready with no signal").await
    }

    /// Goes to a screen by its word in the row at the foot.
    pub async fn screen(&self, word: &str) -> Result<()> {
        let links = self.browser().find_all(By::Css("#nav a")).await?;
        for link in links {
            if link.text().await? == word {
                link.click().await?;
                return self
                    .until(&format!(
                        "document.querySelector('#nav [aria-current=page]')?.textContent === '{word}'"
                    ))
                    .await;
            }
        }
        anyhow::bail!("no screen is called {word}")
    }

    /// Goes to the spot's form by its name at the head of the page.
    pub async fn spot_form(&self) -> Result<()> {
        self.browser().find(By::Css(".head-spot")).await?.click().await?;
        self.until("document.querySelector('.screen:not([hidden])')?.ariaLabel === 'Spot'").await
    }

    /// Types a value into a field of a form in place of what was there, and leaves the field.
    pub async fn fill(&self, id: &str, value: &str) -> Result<()> {
        let field = self.browser().find(By::Id(id)).await?;
        field.scroll_into_view().await?;
        field.clear().await?;
        field.send_keys(value).await?;
        field.send_keys(Key::Tab + "").await?;
        Ok(())
    }

    /// What stands in a field.
    pub async fn value(&self, id: &str) -> Result<String> {
        let value =
            self.script("return document.getElementById(arguments[0])?.value", vec![json!(id)]).await?;
        Ok(value.as_str().with_context(|| format!("no field {id}"))?.to_owned())
    }

    /// Presses a button, once nothing that is being drawn anew could move it under the finger.
    pub async fn press(&self, id: &str) -> Result<()> {
        self.settled().await?;
        let button = self.browser().find(By::Id(id)).await?;
        button.scroll_into_view().await?;
        button.click().await?;
        Ok(())
    }

    /// Keeps the spot on the form and waits until it is kept.
    pub async fn keep_spot(&self) -> Result<()> {
        self.press("keep").await?;
        self.until_text("#keep-state", "Kept on this device").await
    }

    /// Waits until what the page has begun to keep is kept: a reading transaction runs after the writing ones.
    pub async fn until_written(&self) -> Result<()> {
        // Looked at again and again, so that a store which hangs is told with what the page says of it.
        let body = "
            window.written = null;
            const opening = indexedDB.open('duskbook');
            opening.onerror = () => { window.written = false; };
            opening.onsuccess = () => {
                const { result } = opening;
                const reading = result.transaction([...result.objectStoreNames]);
                reading.oncomplete = () => { result.close(); window.written = true; };
                reading.objectStore(result.objectStoreNames[0]).count();
            };";
        self.script(body, vec![]).await?;
        self.until("typeof window.written === 'boolean'").await?;
        let kept = self.script("return window.written", vec![]).await?;
        ensure!(kept == true, "the page's store cannot be opened");
        Ok(())
    }

    /// Every address that the page has asked for.
    pub async fn asked_for(&self) -> Result<Vec<String>> {
        let body = "return performance.getEntries().filter(e => e.name.includes('://')).map(e => e.name)";
        let names = self.script(body, vec![]).await?;
        Ok(serde_json::from_value(names)?)
    }

    /// Checks that the page has asked for something, and for nothing elsewhere.
    pub async fn asked_only_here(&self) -> Result<()> {
        let asked = self.asked_for().await?;
        ensure!(!asked.is_empty(), "no request was seen");
        let elsewhere: Vec<_> = asked.iter().filter(|name| !name.starts_with(&self.address(""))).collect();
        ensure!(elsewhere.is_empty(), "asked for {elsewhere:?}");
        Ok(())
    }
}

/// Minutes after midnight of a clock time as the page writes it, `18:42` or `6:42 pm`.
pub fn minutes(clock: &str) -> Result<i64> {
    let lower = clock.to_lowercase();
    let digits = lower.trim_end_matches(|c: char| !c.is_ascii_digit());
    let (hour, minute) = digits.split_once(':').with_context(|| format!("no time of day: {clock}"))?;
    let (hour, minute): (i64, i64) = (hour.trim().parse()?, minute.parse()?);
    let hour = match (lower.ends_with("am"), lower.ends_with("pm")) {
        (true, _) => hour % 12,
        (_, true) => hour % 12 + 12,
        _ => hour,
    };
    Ok(hour * 60 + minute)
}

#[test]
fn times_of_day_are_read_in_both_forms() {
    assert_eq!(minutes("18:42").unwrap(), 1122);
    assert_eq!(minutes("6:42\u{202f}pm").unwrap(), 1122);
    assert_eq!(minutes("12:05 am").unwrap(), 5);
    assert!(minutes("soon").is_err());
}
