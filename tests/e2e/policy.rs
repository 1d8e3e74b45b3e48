//! The page's policy: as narrow as the page allows, and it stops what is not the page's own.

use std::fs;
use std::io::Read;
use std::net::TcpListener;
use std::time::Duration;

use anyhow::{Context, ensure};
use serde_json::{Value, json};

use crate::stage::on_stage;

/// What a script of the page's own tries, and whether it got through.
const TRIES: &str = "(async () => {
    const [port] = [new URL(document.currentScript.src).searchParams.get('port')];
    const elsewhere = `http://127.0.0.1:${port}/`;
    const blocked = [];
    addEventListener('securitypolicyviolation', event => blocked.push(event.effectiveDirective));
    const ran = {};
    const attempt = (name, act) => { try { act(); } catch (error) { ran[name] = error.name; } };
    const put = (tag, properties, text) => document.body.append(Object.assign(document.createElement(tag), properties, text ? { textContent: text } : {}));
    attempt('eval', () => { window.hurt = eval('1'); });
    attempt('function', () => { window.hurt = new Function('return 1')(); });
    attempt('timeout', () => setTimeout('window.hurt = 1'));
    put('script', {}, 'window.hurt = 1');
    put('script', { src: `data:text/javascript,window.hurt=1` });
    put('script', { src: URL.createObjectURL(new Blob(['window.hurt = 1'])) });
    put('script', { src: elsewhere });
    put('style', {}, ':root { --hurt: 1 }');
    put('link', { rel: 'stylesheet', href: elsewhere });
    put('img', { src: `${elsewhere}x.png` });
    put('iframe', { src: elsewhere });
    put('object', { data: elsewhere });
    put('video', { src: elsewhere });
    put('base', { href: elsewhere });
    document.body.insertAdjacentHTML('beforeend', '<img src=\"none\" onerror=\"window.hurt = 1\"><p style=\"--hurt: 1\" id=\"styled\">');
    attempt('worker', () => { new Worker(URL.createObjectURL(new Blob(['postMessage(1)']))).onmessage = () => { window.hurt = 1; }; });
    attempt('socket', () => new WebSocket(elsewhere.replace('http', 'ws')));
    attempt('beacon', () => navigator.sendBeacon(elsewhere, 'x'));
    const form = Object.assign(document.createElement('form'), { action: elsewhere, method: 'post', target: '_blank' });
    document.body.append(form);
    attempt('form', () => form.submit());
    ran.fetch = await fetch(elsewhere, { mode: 'no-cors' }).then(() => 'reached', error => error.name);
    await new Promise(next => setTimeout(next, 500));
    const style = element => getComputedStyle(element).getPropertyValue('--hurt');
    document.documentElement.dataset.tried = JSON.stringify({
        ran, blocked: [...new Set(blocked)].sort(), hurt: window.hurt ?? null, base: document.baseURI.startsWith(elsewhere),
        styled: style(document.documentElement) + style(document.getElementById('styled')),
    });
})();";

#[test]
fn the_policy_stops_what_is_not_the_pages_own() {
    on_stage("policy", async |stage| {
        // The header and the page's own line are one policy, but for what only a header can say.
        stage.open("").await?;
        stage.until("document.querySelector('#sheet-table tr')").await?;
        let body = "const done = arguments[0];
            fetch('./').then(answer => done([answer.headers.get('content-security-policy'),
                document.querySelector('meta[http-equiv=\"Content-Security-Policy\"]').content,
                ...['x-content-type-options', 'referrer-policy', 'cross-origin-opener-policy', 'cross-origin-resource-policy', 'permissions-policy']
                    .map(name => answer.headers.get(name))]));";
        let said = stage.browser().execute_async(body, vec![]).await?.json().clone();
        let said: Vec<String> = serde_json::from_value(said)?;
        let directives = |policy: &str| {
            let mut all: Vec<String> = policy.split(';').map(|each| each.trim().to_owned()).collect();
            all.sort_unstable();
            all
        };
        let allowed = directives(
            "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self'; \
            connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'",
        );
        ensure!(directives(&said[1]) == allowed, "the page says {}", said[1]);
        let mut header = directives(&said[0]);
        header.retain(|each| each != "frame-ancestors 'none'");
        ensure!(
            header == allowed && said[0].contains("frame-ancestors 'none'"),
            "the header says {}",
            said[0]
        );
        ensure!(said[2..6] == ["nosniff", "no-referrer", "same-origin", "same-origin"], "{said:?}");
        ensure!(said[6].contains("camera=()") && said[6].contains("geolocation=(self)"), "{}", said[6]);

        // With the header, and by the page's own line alone as on a host that takes no such file.
        let elsewhere = TcpListener::bind("127.0.0.1:0")?;
        elsewhere.set_nonblocking(true)?;
        let port = elsewhere.local_addr()?.port();
        fs::write(stage.site.join("tries.js"), TRIES)?;
        for with_header in [true, false] {
            if !with_header {
                let kept = fs::read_to_string(stage.site.join("_headers"))?;
                let kept: Vec<&str> =
                    kept.lines().filter(|line| !line.contains("Content-Security-Policy")).collect();
                fs::write(stage.site.join("_headers"), kept.join("\n"))?;
                stage.signal_again()?;
            }
            stage.open("?bare").await?;
            stage.until("document.querySelector('#sheet-table tr')").await?;
            let add = "document.body.append(Object.assign(document.createElement('script'), { src: `tries.js?port=${arguments[0]}` }))";
            stage.script(add, vec![json!(port)]).await?;
            stage.until("document.documentElement.dataset.tried").await?;
            let tried =
                stage.script("return JSON.parse(document.documentElement.dataset.tried)", vec![]).await?;
            ensure!(
                tried["hurt"].is_null() && tried["base"] == json!(false) && tried["styled"] == json!(""),
                "{tried}"
            );
            ensure!(
                tried["ran"]["eval"] == "EvalError"
                    && tried["ran"]["function"] == "EvalError"
                    && tried["ran"]["fetch"] == "TypeError",
                "{tried}"
            );
            let blocked = tried["blocked"].as_array().context("a list")?;
            for directive in ["script-src", "style-src", "img-src", "connect-src", "frame-src"] {
                let seen = blocked.iter().filter_map(Value::as_str).any(|each| each.starts_with(directive));
                ensure!(seen, "nothing was said of {directive}: {tried}");
            }
            println!("{} stopped {tried}", stage.engine.name());
        }
        // A browser may open a connection ahead of what its policy then stops: nothing is said over it.
        while let Ok((mut call, _)) = elsewhere.accept() {
            let mut said = [0; 200];
            call.set_nonblocking(false)?;
            call.set_read_timeout(Some(Duration::from_secs(1)))?;
            let length = call.read(&mut said).unwrap_or_default();
            ensure!(length == 0, "something called elsewhere: {}", String::from_utf8_lossy(&said[..length]));
        }
        Ok(())
    });
}
