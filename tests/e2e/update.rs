//! From one version to the next.

use std::fs;

use anyhow::{Result, ensure};
use duskbook_packager::precache;
use thirtyfour::By;

use crate::stage::{Stage, on_stage};

impl Stage {
    /// Puts out another version of the site: one that says so of itself.
    fn release(&self, name: &str) -> Result<()> {
        let file = self.site.join("app.js");
        let changed =
            format!("{}\ndocument.documentElement.dataset.release = '{name}';\n", fs::read_to_string(&file)?);
        fs::write(&file, changed)?;
        precache::write(&self.site)?;
        Ok(())
    }

    async fn accept_update(&self) -> Result<()> {
        self.until("!document.getElementById('update-prompt').hidden").await?;
        self.browser().find(By::Css("#update-prompt button")).await?.click().await?;
        Ok(())
    }
}

#[test]
fn an_update_waits_to_be_asked_for_and_loses_no_spot() {
    on_stage("update", async |stage| {
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.release("second")?;
        stage.open("#spot-form").await?;
        stage.until("!document.getElementById('update-prompt').hidden").await?;
        ensure!(
            stage.script("return document.documentElement.dataset.release ?? null", vec![]).await?.is_null(),
            "the new version runs before it was asked for"
        );
        stage.accept_update().await?;
        stage.until("document.documentElement.dataset.release === 'second'").await?;
        stage.until_text("#spot-list", "Cormorant Quay").await?;
        stage.until_ready_offline().await?;
        stage.no_signal()?;
        stage.open_quay().await?;
        stage.until("document.documentElement.dataset.release === 'second'").await?;
        stage.shows_sunset("2031-03-09").await
    });
}

#[test]
fn an_update_does_not_reload_over_what_was_typed() {
    on_stage("update-unsaved", async |stage| {
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        stage.release("second")?;
        stage.open("#spot-form").await?;
        stage.until_text("#update-prompt", "new version").await?;
        stage.fill("notes", "mind the tide").await?;
        stage.accept_update().await?;
        stage.until_text("#update-prompt", "not kept yet").await?;
        ensure!(stage.value("notes").await? == "mind the tide", "the notes are gone");
        ensure!(
            stage.script("return document.documentElement.dataset.release ?? null", vec![]).await?.is_null(),
            "the page was reloaded"
        );
        Ok(())
    });
}
