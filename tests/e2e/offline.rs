//! With no signal: the server is stopped, not hidden.

use anyhow::Result;

use crate::stage::on_stage;

#[test]
fn a_restarted_browser_opens_a_bookmarked_spot_with_the_server_stopped() {
    on_stage("offline", async |stage| {
        stage.open("").await?;
        stage.until_ready_offline().await?;
        stage.no_signal()?;
        stage.restart_browser().await?;
        stage.open_quay().await?;
        stage.shows_sunset("2031-06-21").await?;
        for (screen, shows) in [("Sky", "#sky-table"), ("Log", "#log-frame"), ("Evening", "#sheet-table")] {
            stage.screen(screen).await?;
            stage.until(&format!("document.querySelector('{shows}')?.offsetParent !== undefined")).await?;
        }
        stage.until_ready_offline().await?;
        stage.asked_only_here().await
    });
}

#[test]
fn a_spot_kept_on_the_device_is_there_after_a_restart_with_no_signal() {
    on_stage("kept", async |stage| {
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.no_signal()?;
        stage.restart_browser().await?;
        stage.open("#spot-form").await?;
        stage.until_text("#spot-list", "Cormorant Quay").await
    });
}

#[test]
fn a_first_visit_that_lost_its_signal_never_claims_to_be_ready() {
    on_stage("half-installed", async |stage| {
        // One file that cannot be had makes the copy incomplete.
        std::fs::remove_file(stage.site.join("icons/icon-512.png"))?;
        stage.open("").await?;
        stage.until_text("#offline-state", "the copy failed").await?;
        let claims = stage.text("#offline-state").await?;
        anyhow::ensure!(!claims.contains("ready"), "it says {claims}");
        Result::Ok(())
    });
}
