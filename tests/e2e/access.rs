//! Every screen by axe-core, the checker of the WCAG rules: in Chromium in all themes, elsewhere the themes by turns.

use std::fs;

use anyhow::{Context, Result, ensure};
use duskbook_packager::engine::Engine;
use serde_json::Value;
use thirtyfour::By;

use crate::stage::{Stage, on_stage};

/// Runs the checker that is already in the page and returns what it found, one line a violation.
const RUN: &str = "
    const done = arguments[arguments.length - 1];
    axe.run(document, { resultTypes: ['violations'] }).then(
        ({ violations, passes }) => done({
            passes: passes.length,
            told: violations.map(({ id, nodes }) => `${id}: ${nodes.map(node => node.html).join(' | ')}`),
        }),
        error => done({ passes: 0, told: [String(error)] }));";

/// Builds every screen and returns the ids that are there twice.
const TWICE: &str = "
    const done = arguments[arguments.length - 1];
    (async () => {
        for (const { hash } of document.querySelectorAll('#nav a, #other-cards a')) {
            location.hash = hash;
            await new Promise(next => setTimeout(next, 100));
        }
        const ids = [...document.querySelectorAll('.screen [id]')].map(each => each.id);
        done(ids.length > 300 ? ids.filter((id, i) => ids.indexOf(id) !== i).join(' ') : `${ids.length} ids`);
    })();";

/// Every screen by its address and its name.
const SCREENS: [(&str, &str); 19] = [
    ("#evening", "Evening"),
    ("#sky", "Sky"),
    ("#sky/moon", "Moon"),
    ("#sky/skyline", "Skyline"),
    ("#sky/year", "Year"),
    ("#exposure", "Exposure"),
    ("#exposure/filters", "Filters"),
    ("#exposure/film", "Film"),
    ("#exposure/brackets", "Brackets"),
    ("#lens", "Lens"),
    ("#lens/focus", "Focus"),
    ("#spot-form", "Spot"),
    ("#evening/window", "When it fits"),
    ("#log", "Log"),
    ("#lens/trails", "Trails"),
    ("#lens/stars", "Stars"),
    ("#log/photo", "Photographs"),
    ("#backup", "Keep and share"),
    ("#settings", "Settings"),
];

impl Stage {
    async fn has_no_violation(&self, what: &str) -> Result<()> {
        let found: Value = self.browser().execute_async(RUN, vec![]).await?.json().clone();
        ensure!(found["passes"].as_u64() > Some(10), "the checker saw little of {what}: {found}");
        let told = found["told"].as_array().context("a list")?;
        ensure!(told.is_empty(), "{what}: {told:#?}");
        Ok(())
    }
}

#[test]
fn no_screen_breaks_a_rule_in_any_theme() {
    on_stage("access", async |stage| {
        stage.open_quay().await?;
        stage.until("document.querySelector('#sheet-table tr[data-kind=dial]')").await?;
        // A frame and a reading, so that marks and the form of a frame are looked at too.
        stage.script("location.hash = '#log'", vec![]).await?;
        stage.until("document.getElementById('log-frame')?.offsetParent").await?;
        stage.press("log-frame").await?;
        stage.until("document.querySelector('#frames details')").await?;
        let axe = stage.workspace.packaging().join("node_modules/axe-core/axe.min.js");
        stage.script(&fs::read_to_string(axe)?, vec![]).await?;
        for (turn, theme) in ["day", "dark", "night"].into_iter().enumerate() {
            let option = format!("#theme option[value={theme}]");
            stage.browser().find(By::Css(option)).await?.click().await?;
            stage.until(&format!("document.documentElement.dataset.theme === '{theme}'")).await?;
            // One engine is enough for colours; what others make of roles and names is the same in every theme.
            let (first, step) = if stage.engine == Engine::Chromium { (0, 1) } else { (turn, 3) };
            for (card, label) in SCREENS.into_iter().skip(first).step_by(step) {
                stage.script("location.hash = arguments[0]", vec![card.into()]).await?;
                stage
                    .until(&format!(
                        "document.querySelector('.screen:not([hidden])')?.ariaLabel === '{label}'"
                    ))
                    .await?;
                stage
                    .script("document.querySelectorAll('details').forEach(d => { d.open = true; })", vec![])
                    .await?;
                stage.has_no_violation(&format!("{label} in {theme}")).await?;
            }
            stage.open_timer_in_page(1.0).await?;
            stage.has_no_violation(&format!("Timer in {theme}")).await?;
            stage.press("timer-start").await?;
            stage.has_no_violation(&format!("running timer in {theme}")).await?;
            stage.until("document.getElementById('timer-cue').open").await?;
            stage.has_no_violation(&format!("cue in {theme}")).await?;
            stage.press("timer-done").await?;
        }
        // A label finds its field by an id, also when all screens are built.
        let twice: Value = stage.browser().execute_async(TWICE, vec![]).await?.json().clone();
        ensure!(twice == "", "{twice}");
        Ok(())
    });
}
