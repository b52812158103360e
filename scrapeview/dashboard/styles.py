"""How the dashboard looks beyond Streamlit's own: targets for a thumb, narrow screens, cards.

Colours come from the theme, so that light and dark both stay readable.
"""

CSS = """
<style>
/* a thumb needs 44 px */
.stButton button, .stDownloadButton button, .stFormSubmitButton button, .stPopover button,
.stPageLink a, .stLinkButton a, [data-testid="stFileUploader"] button {
  min-height: 44px;
}
.stPageLink a { margin: 0; padding: 0.5rem 0.75rem; justify-content: center;
  border: 1px solid rgba(128, 128, 128, 0.45); border-radius: 0.5rem; }
[data-testid="stElementContainer"]:has(> .stPageLink) { margin: 0; }
.stPageLink a, .stPageLink a span, .stPageLink a p { white-space: normal !important;
  overflow: visible !important; }
[data-testid="stButtonGroup"] button { min-height: 44px; }
.stRadio [role="radiogroup"] label, .stCheckbox label, .stToggle label {
  min-height: 44px; align-items: center; }
[data-testid="stSidebarNavLink"], [data-testid="stTopNavLink"] { min-height: 44px; }
.stTextInput input, .stNumberInput input, .stSelectbox input, .stSelectbox button {
  min-height: 44px; }
[data-testid="stNumberInputContainer"], [data-testid="stTextInputRootElement"],
.stSelectbox [role="group"] {
  height: auto; min-height: 46px; }
.stNumberInput button { min-width: 44px; min-height: 44px; }
[data-testid="stExpandSidebarButton"], [data-testid="stSidebarCollapseButton"] button,
[role="dialog"] button[aria-label="Close"] { min-width: 44px; min-height: 44px; }
.stExpander summary { min-height: 44px; }
/* buttons of charts, where there is a thumb */
@media (pointer: coarse) {
  .js-plotly-plot .plotly .modebar-btn { font-size: 20px; padding: 12px; height: 44px; }
  .js-plotly-plot .plotly .modebar-group { padding-left: 0; }
}
/* numbers stand in line */
[data-testid="stMetricValue"] { font-variant-numeric: tabular-nums; }
/* long names break rather than push the page wide */
.stMarkdown, .stAlert, .stPageLink, .stButton { overflow-wrap: anywhere; }
.block-container, [data-testid="stMainBlockContainer"] { padding-top: 4rem; }
/* cards of faces */
.sv-name { font-weight: 600; font-size: 1.05rem; overflow-wrap: anywhere; }
.sv-role, .sv-label, .sv-beside, .sv-foot { opacity: 0.78; font-size: 0.85rem; font-weight: 400; }
.sv-figures { display: flex; gap: 0.75rem; margin: 0.4rem 0; }
.sv-figure { flex: 1 1 0; min-width: 0; }
.sv-value { font-size: 1.45rem; font-variant-numeric: tabular-nums; line-height: 1.3; }
.sv-trend { display: block; width: 100%; max-width: 160px; height: 34px; margin-top: 0.2rem; }
/* four ways on in a card beside each other */
[class*="st-key-card_links_"] span:has(> [data-testid="stIconMaterial"]) { display: none; }
[class*="st-key-card_links_"] .stPageLink a { padding: 0.5rem 0.6rem; }
.sv-outcome { border-left: 6px solid; padding: 0.1rem 0 0.1rem 0.6rem; margin: 0.3rem 0;
  font-size: 0.95rem; overflow-wrap: anywhere; }
/* targets: a table at the bench, a list to open on a phone */
.sv-targets table, .sv-targets-list table { border-collapse: collapse; width: 100%; }
.sv-targets th, .sv-targets td { padding: 0.3rem 0.5rem; text-align: left; font-size: 0.9rem;
  border-bottom: 1px solid rgba(128, 128, 128, 0.3); vertical-align: middle; }
.sv-targets thead th { vertical-align: bottom; font-size: 0.8rem; font-weight: 400; opacity: 0.78; }
.sv-targets tbody th, .sv-targets-list th { font-weight: 400; }
.sv-targets td span, .sv-targets-list td span { white-space: nowrap;
  font-variant-numeric: tabular-nums; }
.sv-sure { display: inline-block; min-width: 1.2em; padding: 0 0.25em; border-radius: 0.25em;
  border: 1px solid rgba(128, 128, 128, 0.6); font-size: 0.72rem; line-height: 1.3;
  text-align: center; text-decoration: none; opacity: 0.85; }
.sv-legend { display: flex; flex-wrap: wrap; gap: 0.2rem 1rem; margin-top: 0.5rem;
  font-size: 0.85rem; opacity: 0.85; }
.sv-targets-list { display: none; }
.sv-targets-list summary { padding: 0.65rem 0; cursor: pointer; }
.sv-targets-list details { border-bottom: 1px solid rgba(128, 128, 128, 0.3); }
.sv-targets-list th, .sv-targets-list td { padding: 0.2rem 0.5rem; text-align: left;
  font-size: 0.9rem; }
@media (max-width: 900px) {
  .sv-targets { display: none; }
  .sv-targets-list { display: block; }
}
@media (max-width: 640px) {
  [class*="st-key-card_"], [class*="st-key-waiting_"] { width: 100% !important; }
  .block-container, [data-testid="stMainBlockContainer"] {
    padding: 3.75rem 0.75rem 4rem 0.75rem; }
  [class*="st-key-standing_"] [data-testid="stColumn"] {
    min-width: calc(50% - 1rem) !important; flex: 1 1 calc(50% - 1rem) !important; }
  /* a value whose source is not asked for leaves no gap */
  .st-key-target_values [data-testid="stColumn"]:not(:has([data-testid="stElementContainer"])) {
    display: none; }
  h1 { font-size: 1.75rem !important; }
  h2 { font-size: 1.35rem !important; }
  h3 { font-size: 1.15rem !important; }
}
</style>
"""
