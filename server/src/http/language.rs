//! Which language an answer is in: the one chosen here before (a cookie), else what the browser asks for, else the
//! server's own. It must know no page and no text.

use super::{App, Site, cookie, protection};
use crate::words::{Language, Words};
use axum::extract::rejection::FormRejection;
use axum::extract::{Form, Request, State};
use axum::http::header::{ACCEPT_LANGUAGE, REFERER, SET_COOKIE, VARY};
use axum::http::{HeaderMap, HeaderValue, Method, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// A preference and no secret; the same for every listener of this computer.
const COOKIE_NAME: &str = "windrow_language";
/// A year, s.
const KEPT_S: u32 = 31_536_000;

tokio::task_local! {
    /// Of the request that is being answered. Kept beside it, and not among the arguments, since refusals are also made
    /// where there are none: in extractors, and where an error becomes an answer.
    static SPOKEN: Words;
}

/// The texts in the language of the request that is being answered; the default language outside of one.
pub(super) fn words() -> Words {
    SPOKEN.try_with(|words| *words).unwrap_or_else(|_| Words::new(Language::default()))
}

/// Stands before every route.
pub(super) async fn speak(State(app): State<Site>, request: Request, next: Next) -> Response {
    let words = Words::new(chosen(request.headers()).unwrap_or(app.shared.language));
    let is_file = request.uri().path().starts_with("/static/");
    let mut response = SPOKEN.scope(words, next.run(request)).await;
    if is_file {
        return response;
    }
    response.headers_mut().append(VARY, HeaderValue::from_static("accept-language, cookie"));
    response
}

pub(super) fn chosen(headers: &HeaderMap) -> Option<Language> {
    let kept = cookie::values(headers, COOKIE_NAME).next().and_then(|slug| slug.parse().ok());
    let asked = || headers.get(ACCEPT_LANGUAGE).and_then(|v| v.to_str().ok()).and_then(Language::asked_for);
    kept.or_else(asked)
}

/// What the choice of a language sends.
#[derive(Debug, Deserialize)]
pub(super) struct Choice {
    to: String,
}

/// Keeps the choice in the browser and goes back to the page it was made on.
pub(super) async fn choose(
    app: App,
    headers: HeaderMap,
    choice: Result<Form<Choice>, FormRejection>,
) -> Response {
    if let Some(turned_away) = protection::turn_away_stranger(&Method::POST, &headers) {
        return turned_away;
    }
    let chosen = choice.ok().and_then(|Form(choice)| choice.to.parse::<Language>().ok());
    let Some(language) = chosen else { return super::pages::malformed() };
    let attributes = format!("; Max-Age={KEPT_S}; SameSite=Lax");
    let kept = cookie::header_for(app.secure, COOKIE_NAME, language.slug(), &attributes);
    ([(SET_COOKIE, kept)], Redirect::to(&back(&headers))).into_response()
}

/// The path of ours that the request came from.
pub(super) fn back(headers: &HeaderMap) -> String {
    let from = headers.get(REFERER).and_then(|v| v.to_str().ok()).and_then(|v| v.parse::<Uri>().ok());
    let path = from.as_ref().and_then(|uri| uri.path_and_query()).map_or("/", |path| path.as_str());
    // "//elsewhere.example" would be read as another host, and browsers take a backslash for a slash.
    let is_ours = path.starts_with('/') && !path[1..].starts_with(['/', '\\']);
    let path = if is_ours { path } else { "/" };
    readable(path).to_owned()
}

/// Some forms are answered at an address of their own, which nobody can open; the page they stand on is above it.
fn readable(path: &str) -> &str {
    let is_answer = |method, route: &(&str, &str)| route.0 == method && route.1 == path;
    let routes = super::route_names();
    let is_answer_alone =
        routes.iter().any(|r| is_answer("POST", r)) && !routes.iter().any(|r| is_answer("GET", r));
    let above = path.rsplit_once('/').map_or("/", |(above, _)| above);
    if is_answer_alone && !above.is_empty() { above } else { path }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::header::COOKIE;

    fn headers(pairs: &[(axum::http::HeaderName, &str)]) -> HeaderMap {
        pairs.iter().map(|(name, value)| (name.clone(), HeaderValue::from_str(value).unwrap())).collect()
    }

    #[test]
    fn a_choice_made_here_comes_before_what_the_browser_asks_for() {
        for (cookie, accept, expected) in [
            ("windrow_language=de", "en", Some(Language::German)),
            ("windrow_a=t; windrow_language=en", "de", Some(Language::English)),
            ("windrow_language=xx", "de", Some(Language::German)),
            ("", "fr", None),
        ] {
            let headers = headers(&[(COOKIE, cookie), (ACCEPT_LANGUAGE, accept)]);
            assert_eq!(chosen(&headers), expected, "{cookie} {accept}");
        }
    }

    #[test]
    fn after_a_choice_one_is_back_where_one_was_and_nowhere_else() {
        for (referer, expected) in [
            ("http://127.0.0.1:8470/conduct/plans?x=1", "/conduct/plans?x=1"),
            ("https://elsewhere.example//evil.example/x", "/"),
            ("https://elsewhere.example/\\evil.example/x", "/"),
            ("not an address", "/"),
            ("https://stand.local:8471/conduct/access/passphrase", "/conduct/access"),
            ("https://stand.local:8471/conduct/roster/import", "/conduct/roster"),
            ("https://stand.local:8471/conduct/roster", "/conduct/roster"),
        ] {
            assert_eq!(back(&headers(&[(REFERER, referer)])), expected, "{referer}");
        }
        assert_eq!(back(&HeaderMap::new()), "/");
    }
}
