//! Photographs that the system hands to the app: by its share sheet, or opened with it.

use std::fs;

use anyhow::{Result, ensure};
use duskbook_packager::precache;
use serde_json::{Value, json};

use crate::log::photograph;
use crate::stage::{Stage, on_stage};

/// A form as the share sheet sends it, with a photograph for each name.
const FORM: &str = "
    const [names, bytes] = arguments;
    const chosen = new DataTransfer();
    for (const name of names) chosen.items.add(new File([new Uint8Array(bytes)], name, { type: 'image/tiff' }));
    const input = Object.assign(document.createElement('input'), { type: 'file', name: 'photos', multiple: true });
    input.files = chosen.files;
    const form = Object.assign(document.createElement('form'), { method: 'post', enctype: 'multipart/form-data', action: './' });
    form.append(input);
    document.body.append(form);";

/// How many photographs wait to be looked into.
const WAITING: &str = "
    const done = arguments[0];
    caches.open('shared').then(cache => cache.keys()).then(keys => done(keys.length));";

/// What stands in for the system: it opens files when the test says so.
const SYSTEM: &str = "
    Object.defineProperty(window, 'launchQueue', { value: { setConsumer: take => addEventListener('launched', () => take({
        targetURL: location.href,
        files: [{ getFile: async () => new File([new Uint8Array(JSON.parse(document.documentElement.dataset.file))], 'opened.tif') }],
    })) } });";

impl Stage {
    /// Lets pages of the site send forms, which the system does without asking them.
    fn allow_forms(&mut self) -> Result<()> {
        for file in ["_headers", "index.html"] {
            let file = self.site.join(file);
            let text = fs::read_to_string(&file)?;
            fs::write(file, text.replace("form-action 'none'", "form-action 'self'"))?;
        }
        precache::write(&self.site)?;
        self.no_signal()?;
        self.signal_again()
    }

    async fn waiting(&self) -> Result<Value> {
        Ok(self.browser().execute_async(WAITING, vec![]).await?.json().clone())
    }

    /// Waits for a photograph to be on its card, looked into, and for the worker to hold none.
    async fn looked_into(&self, name: &str) -> Result<()> {
        let told = "[document.title, document.querySelector('#photo-list')?.textContent].join()";
        self.until_told(
            &format!("document.querySelector('[aria-label=\"Into the log: {name}\"]')?.offsetParent"),
            told,
        )
        .await?;
        for _ in 0..100 {
            if self.waiting().await? == 0 {
                return Ok(());
            }
        }
        anyhow::bail!("{} wait still", self.waiting().await?)
    }
}

#[test]
fn shared_and_opened_photographs_come_to_their_card_with_no_signal() {
    on_stage("handed", async |stage| {
        stage.beforehand(SYSTEM)?;
        stage.allow_forms()?;
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        stage.no_signal()?;
        let file = json!(photograph("2031:03:09 17:40:00"));
        let (first, second) = ("dusk & dawn, 100 %.tif", "café.tif");

        stage.script(&format!("{FORM} form.submit();"), vec![json!([first, second]), file.clone()]).await?;
        stage.until("location.hash === '#log/photo'").await?;
        stage.looked_into(first).await?;
        stage.looked_into(second).await?;

        // The page that was to show it never came up: the photograph waits for the next.
        let send = format!(
            "{FORM} const done = arguments[2]; fetch('./', {{ method: 'POST', redirect: 'manual', body: new FormData(form) }}).then(answer => done(answer.type), done);"
        );
        let sent = stage.browser().execute_async(&send, vec![json!(["late.tif"]), file.clone()]).await?;
        ensure!(sent.json() == "opaqueredirect", "{}", sent.json());
        ensure!(stage.waiting().await? == 1, "it is not held");
        stage.restart_browser().await?;
        stage.open("#log/photo").await?;
        stage.looked_into("late.tif").await?;

        // Opened from the system's list of files, with another card in front.
        stage.screen("Evening").await?;
        let launch = "document.documentElement.dataset.file = JSON.stringify(arguments[0]); window.dispatchEvent(new Event('launched'));";
        stage.script(launch, vec![file]).await?;
        stage.looked_into("opened.tif").await?;
        stage.asked_only_here().await
    });
}
