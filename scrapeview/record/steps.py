"""The texts of the record's migrations, frozen: a new step is added, an old one never edited."""

MACHINES_TO_CELLS = """
CREATE TABLE migrations (
    number {integer} NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    applied_at_utc TEXT NOT NULL
) {strict};

CREATE TABLE machines (
    machine_id {id},
    name TEXT NOT NULL UNIQUE,
    notes TEXT NOT NULL
) {strict};

CREATE TABLE parts (
    part_id {id},
    machine_id {integer} NOT NULL REFERENCES machines (machine_id) ON DELETE CASCADE,
    name TEXT NOT NULL,
    UNIQUE (machine_id, name)
) {strict};

CREATE TABLE faces (
    face_id {id},
    part_id {integer} NOT NULL REFERENCES parts (part_id) ON DELETE CASCADE,
    name TEXT NOT NULL,
    role TEXT NOT NULL,
    shape TEXT NOT NULL,
    width_mm {real} NOT NULL,
    height_mm {real} NOT NULL,
    regions_mm TEXT NOT NULL,
    openings_mm TEXT NOT NULL,
    target_name TEXT NOT NULL,
    target_contact_least_percent {real},
    target_contact_most_percent {real},
    target_ppsi_least {real},
    target_source TEXT NOT NULL,
    reference TEXT NOT NULL,
    marking TEXT NOT NULL,
    units TEXT NOT NULL,
    settings TEXT NOT NULL,
    notes TEXT NOT NULL,
    UNIQUE (part_id, name)
) {strict};

CREATE TABLE passes (
    pass_id {id},
    face_id {integer} NOT NULL REFERENCES faces (face_id) ON DELETE CASCADE,
    number {integer} NOT NULL,
    begun_at_utc TEXT NOT NULL,
    who TEXT NOT NULL,
    scraping TEXT NOT NULL,
    metal_um {real},
    hours {real},
    notes TEXT NOT NULL,
    UNIQUE (face_id, number)
) {strict};

CREATE TABLE photographs (
    sha256 TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    size_bytes {integer} NOT NULL,
    added_at_utc TEXT NOT NULL
) {strict};

CREATE TABLE prints (
    print_id {id},
    pass_id {integer} NOT NULL REFERENCES passes (pass_id) ON DELETE CASCADE,
    placement TEXT NOT NULL,
    kept_at_utc TEXT NOT NULL
) {strict};
CREATE INDEX prints_of_pass ON prints (pass_id);

CREATE TABLE print_photographs (
    print_id {integer} NOT NULL REFERENCES prints (print_id) ON DELETE CASCADE,
    position {integer} NOT NULL,
    sha256 TEXT NOT NULL REFERENCES photographs (sha256),
    PRIMARY KEY (print_id, position)
) {strict};
CREATE INDEX prints_of_photograph ON print_photographs (sha256);

CREATE TABLE readings (
    reading_id {id},
    print_id {integer} NOT NULL REFERENCES prints (print_id) ON DELETE CASCADE,
    photo_sha256 TEXT NOT NULL REFERENCES photographs (sha256),
    taken_at TEXT,
    read_at_utc TEXT NOT NULL,
    version TEXT NOT NULL,
    is_print {boolean} NOT NULL,
    count_reliable {boolean} NOT NULL,
    contact_percent {real},
    contact_low_percent {real},
    contact_high_percent {real},
    points {integer} NOT NULL,
    points_per_square_inch {real},
    ppsi_low {real},
    ppsi_high {real},
    points_per_25mm_square {real},
    area_mm2 {real},
    worst_contact_percent {real},
    worst_points_per_square_inch {real},
    bare_circle_mm {real},
    bare_area_mm2 {real},
    median_diameter_mm {real},
    small_diameter_mm {real},
    large_diameter_mm {real},
    spacing_index {real},
    haze_percent {real},
    smear_percent {real},
    merged_percent {real},
    washed_out_percent {real},
    corrections {integer} NOT NULL,
    UNIQUE (print_id, reading_id)
) {strict};

CREATE TABLE reading_documents (
    reading_id {integer} NOT NULL PRIMARY KEY REFERENCES readings (reading_id) ON DELETE CASCADE,
    document TEXT NOT NULL,
    plane TEXT NOT NULL,
    mask_height_px {integer} NOT NULL,
    mask_width_px {integer} NOT NULL,
    mask {bytes} NOT NULL
) {strict};

CREATE TABLE points (
    reading_id {integer} NOT NULL REFERENCES readings (reading_id) ON DELETE CASCADE,
    number {integer} NOT NULL,
    x_mm {real},
    y_mm {real},
    area_mm2 {real},
    diameter_mm {real},
    film_share {real},
    region {integer} NOT NULL,
    mark {integer} NOT NULL,
    edge {boolean} NOT NULL,
    hollow {boolean} NOT NULL,
    split {boolean} NOT NULL,
    merged {boolean} NOT NULL,
    glare {boolean} NOT NULL,
    faint {boolean} NOT NULL,
    by_hand {boolean} NOT NULL DEFAULT {false},
    PRIMARY KEY (reading_id, number)
) {strict_by_key};

CREATE TABLE cells (
    reading_id {integer} NOT NULL REFERENCES readings (reading_id) ON DELETE CASCADE,
    number {integer} NOT NULL,
    "column" {integer} NOT NULL,
    "row" {integer} NOT NULL,
    x_mm {real},
    y_mm {real},
    area_mm2 {real},
    points {integer} NOT NULL,
    contact_percent {real},
    points_per_square_inch {real},
    points_per_25mm_square {real},
    enough_area {boolean} NOT NULL,
    PRIMARY KEY (reading_id, number)
) {strict_by_key}
"""

CHOICES = """
CREATE TABLE choices (
    choice_id {id},
    print_id {integer} NOT NULL REFERENCES prints (print_id) ON DELETE CASCADE,
    reading_id {integer} NOT NULL,
    why TEXT NOT NULL,
    chosen_at_utc TEXT NOT NULL,
    FOREIGN KEY (print_id, reading_id)
        REFERENCES readings (print_id, reading_id) ON DELETE CASCADE
) {strict};
CREATE INDEX choices_of_print ON choices (print_id, choice_id);

INSERT INTO choices (print_id, reading_id, why, chosen_at_utc)
    SELECT print_id, reading_id, 'kept', read_at_utc FROM readings ORDER BY reading_id
"""

SHOP_SETTINGS = """
CREATE TABLE shop_settings (
    name TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
) {strict}
"""

JUDGED = """
ALTER TABLE faces ADD COLUMN target_square_ppsi_least {real};
ALTER TABLE faces ADD COLUMN target_bare_circle_most_mm {real};
ALTER TABLE faces ADD COLUMN target_spread_most_percent {real};
ALTER TABLE faces ADD COLUMN target_balance_most_percent {real};
ALTER TABLE faces ADD COLUMN target_haze_most_percent {real};
ALTER TABLE faces ADD COLUMN target_prints_apart_most_percent {real};
ALTER TABLE faces ADD COLUMN target_origins TEXT NOT NULL DEFAULT '';
ALTER TABLE faces ADD COLUMN reference_grade TEXT NOT NULL DEFAULT '';
ALTER TABLE faces ADD COLUMN reference_length_mm {real} NOT NULL DEFAULT 0;
ALTER TABLE faces ADD COLUMN reference_width_mm {real} NOT NULL DEFAULT 0;
ALTER TABLE faces ADD COLUMN reference_own_um {real};

CREATE TABLE eye_counts (
    eye_count_id {id},
    print_id {integer} NOT NULL REFERENCES prints (print_id) ON DELETE CASCADE,
    reading_id {integer} NOT NULL,
    x_mm {real} NOT NULL,
    y_mm {real} NOT NULL,
    side_mm {real} NOT NULL,
    by_eye {integer} NOT NULL,
    by_tool {integer} NOT NULL,
    who TEXT NOT NULL,
    counted_at_utc TEXT NOT NULL,
    FOREIGN KEY (print_id, reading_id)
        REFERENCES readings (print_id, reading_id) ON DELETE CASCADE
) {strict};
CREATE INDEX eye_counts_of_print ON eye_counts (print_id, eye_count_id);

CREATE TABLE swing_tests (
    swing_test_id {id},
    pass_id {integer} NOT NULL REFERENCES passes (pass_id) ON DELETE CASCADE,
    result TEXT NOT NULL,
    pivot_percent {real},
    who TEXT NOT NULL,
    notes TEXT NOT NULL,
    made_at_utc TEXT NOT NULL
) {strict};
CREATE INDEX swing_tests_of_pass ON swing_tests (pass_id, swing_test_id);

CREATE TABLE kept_verdicts (
    face_id {integer} NOT NULL PRIMARY KEY REFERENCES faces (face_id) ON DELETE CASCADE,
    judged_from TEXT NOT NULL,
    outcome TEXT NOT NULL,
    reason TEXT NOT NULL,
    judged_at_utc TEXT NOT NULL
) {strict}
"""

PLACED = """
ALTER TABLE prints ADD COLUMN placement_start_mm {real};
ALTER TABLE prints ADD COLUMN placement_length_mm {real};
ALTER TABLE prints ADD COLUMN placement_side TEXT NOT NULL DEFAULT '';
ALTER TABLE prints ADD COLUMN joined TEXT NOT NULL DEFAULT '';

CREATE TABLE film_calibrations (
    film_calibration_id {id},
    face_id {integer} NOT NULL REFERENCES faces (face_id) ON DELETE CASCADE,
    um {real} NOT NULL,
    low_um {real} NOT NULL,
    high_um {real} NOT NULL,
    how TEXT NOT NULL,
    pass_number {integer},
    notes TEXT NOT NULL,
    made_at_utc TEXT NOT NULL
) {strict};
CREATE INDEX film_calibrations_of_face ON film_calibrations (face_id, film_calibration_id);

CREATE TABLE line_checks (
    line_check_id {id},
    pass_id {integer} NOT NULL REFERENCES passes (pass_id) ON DELETE CASCADE,
    what TEXT NOT NULL,
    between_what TEXT NOT NULL,
    value_um {real} NOT NULL,
    error_um {real},
    instrument TEXT NOT NULL,
    who TEXT NOT NULL,
    notes TEXT NOT NULL,
    made_at_utc TEXT NOT NULL
) {strict};
CREATE INDEX line_checks_of_pass ON line_checks (pass_id, line_check_id)
"""

STEPS = (
    ("machines, parts, faces, passes, prints, photographs and readings", MACHINES_TO_CELLS),
    ("which reading of a print is the current one, and why", CHOICES),
    ("settings of the shop", SHOP_SETTINGS),
    ("what a face is judged by, counts by eye, swing tests and verdicts", JUDGED),
    (
        "placements, maps of several photographs, calibrated film and checks with instruments",
        PLACED,
    ),
)
"""Name and template of each step, in order; its number counts from 1."""
