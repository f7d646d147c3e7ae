//! Checks of the app: the server, and the page in a real browser.
