"""The one page that is shown without the passphrase: plain, and with nothing from elsewhere."""

from html import escape
from string import Template

_PAGE = Template("""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="robots" content="noindex">
<meta name="color-scheme" content="light dark">
<title>Scrapeview: passphrase</title>
<style>
:root { color-scheme: light dark; --ground: #ffffff; --text: #1c2126; --line: #6b747d;
  --button: #00598c; --on-button: #ffffff; --notice: #8a2c00; }
@media (prefers-color-scheme: dark) {
  :root { --ground: #14181c; --text: #e8ecef; --line: #8c959d; --button: #56b4e9;
    --on-button: #0d1114; --notice: #ffb482; } }
* { box-sizing: border-box; }
body { margin: 0; background: var(--ground); color: var(--text); line-height: 1.45;
  font: 1.0625rem system-ui, sans-serif; }
main { max-width: 26rem; margin: 12vh auto 2rem; padding: 0 1.25rem; }
h1 { font-size: 1.6rem; margin: 0 0 0.5rem; }
label { display: block; font-weight: 600; margin: 1.5rem 0 0.4rem; }
input, button { width: 100%; min-height: 3rem; font: inherit; border-radius: 0.5rem; }
input { padding: 0.4rem 0.8rem; border: 1px solid var(--line); background: transparent;
  color: inherit; }
button { margin-top: 1rem; border: 0; background: var(--button); color: var(--on-button);
  font-weight: 600; }
:focus-visible { outline: 3px solid var(--button); outline-offset: 2px; }
.notice { color: var(--notice); font-weight: 600; margin: 1.5rem 0 0; }
.small { font-size: 0.95rem; }
</style>
</head>
<body>
<main>
<h1>Scrapeview</h1>
<p>The shop's record of prints. Type the passphrase that the bench computer showed.</p>
$notice
<form method="post" action="/passphrase" autocomplete="off">
<input type="hidden" name="next" value="$next_path">
<label for="passphrase">Passphrase</label>
<input id="passphrase" name="passphrase" type="text" required maxlength="200" autofocus
  autocapitalize="none" autocorrect="off" autocomplete="off" spellcheck="false">
<button type="submit">Open the record</button>
</form>
<p class="small">Nobody knows it any more? On the bench computer, stop the server and start it
with <code>scrapeview serve --lan --new-passphrase</code>.</p>
</main>
</body>
</html>
""")


def login_page(next_path: str, notice: str = "") -> str:
    """Return the page that asks for the passphrase.

    Parameters
    ----------
    next_path : str
        Where to go on after it.
    notice : str
        What went wrong the last time; "" for nothing.
    """
    told = f'<p class="notice" role="alert">{escape(notice)}</p>' if notice else ""
    return _PAGE.substitute(notice=told, next_path=escape(next_path, quote=True))
