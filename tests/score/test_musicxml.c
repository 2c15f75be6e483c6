/* MusicXML, element by element: what it may say of notes, measures, keys, tempi and parts; and
 * files that mean harm. The sheets (test_musicxml_sheets.c) are compared with another program. */
#include "scores_text.h"

#include "score/musicxml_priv.h"

static char fault[512];

static const struct passo_score_ask plain = {.part = ""};

/* --- files from pieces --- */

#define PART_LIST                                                                                  \
    "<part-list><score-part id='P1'><part-name>Cornet</part-name></score-part></part-list>"
#define ATTRIBUTES                                                                                 \
    "<attributes><divisions>2</divisions><key><fifths>-2</fifths></key>"                           \
    "<time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
#define PITCH(letter, octave) "<pitch><step>" letter "</step><octave>" #octave "</octave></pitch>"
/* A note of some eighths; `more` stands behind its duration. */
#define NOTE(letter, octave, eighths, more)                                                        \
    "<note>" PITCH(letter, octave) "<duration>" #eighths "</duration>" more "</note>"
#define CHORD(letter, octave, eighths, more)                                                       \
    "<note><chord/>" PITCH(letter, octave) "<duration>" #eighths "</duration>" more "</note>"
#define VOICE(number)      "<voice>" #number "</voice>"
#define REST(eighths)      "<note><rest/><duration>" #eighths "</duration></note>"
#define BAR(number, music) "<measure number='" #number "'>" music "</measure>"
#define FILE_OF(part_list, bars)                                                                   \
    "<score-partwise version='4.0'>" part_list "<part id='P1'>" bars "</part></score-partwise>"

static enum passo_error read_text(const char *text, const struct passo_score_ask *ask,
                                  struct passo_score *score)
{
    return passo_musicxml_read(text, strlen(text), ask, score, fault, sizeof fault);
}

static struct passo_score read_file(const char *text, const char *part)
{
    struct passo_score score;
    const enum passo_error error = read_text(text, &(struct passo_score_ask){.part = part}, &score);
    assert_string_equal(fault, "");
    assert_int_equal(error, PASSO_OK);
    scores_check(&score);
    return score;
}

#define READ(music) read_file(FILE_OF(PART_LIST, BAR(1, ATTRIBUTES music)), "")

static void check_notes(struct passo_score score, const char *notes, size_t left_out)
{
    assert_string_equal(scores_notes(&score), notes);
    assert_int_equal(score.left_out, left_out);
    passo_score_deinit(&score);
}

static void check_bars(struct passo_score score, const char *bars)
{
    assert_string_equal(scores_bars(&score), bars);
    passo_score_deinit(&score);
}

static void check_tempi(struct passo_score score, const char *tempi)
{
    assert_string_equal(scores_tempi(&score), tempi);
    passo_score_deinit(&score);
}

static void check_refused(const char *text, enum passo_error wanted, const char *sentence)
{
    struct passo_score score;
    assert_int_equal(read_text(text, &plain, &score), wanted);
    scores_check_fault(&score, fault);
    if (!strstr(fault, sentence))
        fail_msg("\"%s\" says nothing of \"%s\"", fault, sentence);
}

#define REFUSED(music, sentence)                                                                   \
    check_refused(FILE_OF(PART_LIST, BAR(1, ATTRIBUTES music)), PASSO_ERR_SYNTAX, sentence)

/* --- notes --- */

/* The table is searched by halves: an element out of its place would never be found. */
static void test_the_elements_are_in_order(void **state)
{
    (void)state;
    static const char *const name[] = {
#define X(element, text) text,
        MUSICXML_ELEMENTS(X)
#undef X
    };
    for (size_t i = 0; i + 1 < sizeof name / sizeof name[0]; i++)
        assert_true(strcmp(name[i], name[i + 1]) < 0);
}

static void test_pitches(void **state)
{
    (void)state;
    check_notes(READ("<note><pitch><step>B</step><alter>-1</alter><octave>2</octave></pitch>"
                     "<duration>2</duration></note>"
                     "<note><pitch><step>F</step><alter>2</alter><octave>4</octave></pitch>"
                     "<duration>1</duration></note>"
                     "<note><pitch><step>E</step><alter>-2.0</alter><octave>0</octave></pitch>"
                     "<duration>1</duration></note>" NOTE("B", 9, 4, "")),
                "Bb2@0/1+1/4 F##4@1/4+1/8 Ebb0@3/8+1/8 B9@1/2+1/2", 0);
}

static void test_rests_and_what_is_not_played(void **state)
{
    (void)state;
    check_notes(READ(REST(1)
                         NOTE("C", 4, 2, "") "<forward><duration>1</duration></forward>"
                                             "<note><unpitched/><duration>1</duration></note>"
                                             "<note><cue/>" PITCH(
                                                 "G", 4) "<duration>1</duration></note>"
                                                         "<note><grace/>" PITCH(
                                                             "A", 4) "</note>" NOTE("D", 4, 2, "")),
                "C4@1/8+1/4 D4@3/4+1/4", 0);
}

static void test_chords(void **state)
{
    (void)state;
    check_notes(READ(NOTE("C", 4, 2, "") CHORD("G", 4, 2, "") CHORD("E", 4, 2, "")
                         NOTE("C", 5, 2,
                              "<notations><articulations><accent/></articulations>"
                              "</notations>") CHORD("E", 4, 2, "") NOTE("D", 4, 4, "")),
                "G4@0/1+1/4 C5@1/4+1/4> D4@1/2+1/2", 3);
}

/* The first voice that has notes; not the one that only rests, nor the staff below. */
static void test_voices(void **state)
{
    (void)state;
    check_notes(READ("<note><rest/><duration>8</duration><voice>1</voice></note>"
                     "<backup><duration>8</duration></backup>" NOTE("C", 4, 4, VOICE(2))
                         NOTE("D", 4, 4, VOICE(2)) "<backup><duration>8</duration></backup>" NOTE(
                             "C", 3, 4, VOICE(5)) CHORD("E", 3, 4, VOICE(5))
                             NOTE("D", 3, 4, VOICE(5))),
                "C4@0/1+1/2 D4@1/2+1/2", 3);
}

#define TIE(type)  "<tie type='" type "'/>"
#define TIED(type) "<notations><tied type='" type "'/></notations>"

static void test_ties(void **state)
{
    (void)state;
    /* By either element, over a bar line, and from the high note of a chord. */
    check_notes(
        read_file(FILE_OF(PART_LIST, BAR(1, ATTRIBUTES NOTE("C", 4, 4, TIE("start"))
                                                NOTE("C", 4, 2, TIE("stop") TIE("start"))
                                                    NOTE("C", 4, 2, TIED("stop") TIED("start")))
                                         BAR(2, NOTE("C", 4, 4, TIED("stop")) NOTE("C", 4, 4, ""))
                                             BAR(3, NOTE("C", 4, 4, TIE("start"))
                                                        CHORD("E", 4, 4, TIE("start"))
                                                            NOTE("E", 4, 4, TIE("stop")))),
                  ""),
        "C4@0/1+3/2 C4@3/2+1/2 E4@2/1+1/1", 1);
    /* Not to another note, not over a rest, and not without a beginning. */
    check_notes(READ(NOTE("C", 4, 2, TIE("start")) NOTE("D", 4, 2, TIE("stop") TIE("start")) REST(1)
                         NOTE("D", 4, 1, TIE("stop")) NOTE("D", 4, 2, TIE("stop"))),
                "C4@0/1+1/4 D4@1/4+1/4 D4@5/8+1/8 D4@3/4+1/4", 0);
    /* Not where only one end says so. Of a chord the tie of the highest note counts; notes that go
     * on in chords are left out once. */
    check_notes(READ(NOTE("C", 4, 4, TIE("start")) NOTE("C", 4, 4, "")), "C4@0/1+1/2 C4@1/2+1/2",
                0);
    check_notes(READ(NOTE("C", 4, 2, "") CHORD("E", 4, 2, TIE("start")) NOTE("E", 4, 2, TIE("stop"))
                         NOTE("C", 4, 2, TIE("start")) CHORD("E", 4, 2, "") NOTE("E", 4, 2, "")),
                "E4@0/1+1/2 E4@1/2+1/4 E4@3/4+1/4", 2);
    check_notes(READ(NOTE("E", 4, 4, TIE("start")) CHORD("C", 4, 4, TIE("start"))
                         NOTE("E", 4, 4, TIE("stop")) CHORD("C", 4, 4, TIE("stop"))),
                "E4@0/1+1/1", 1);
}

#define SLUR(type, number) "<slur type='" type "' number='" #number "'/>"
#define MARKS(marks)       "<notations>" marks "</notations>"

static void test_slurs(void **state)
{
    (void)state;
    /* A slur to a note, one inside another, one that a tied note begins, and one to a grace note.
     */
    check_notes(
        READ(NOTE("C", 4, 1, MARKS(SLUR("start", 1)))
                 NOTE("D", 4, 1, MARKS(SLUR("start", 2) SLUR("stop", 1)))
                     NOTE("E", 4, 1, MARKS(SLUR("stop", 2)))
                         NOTE("F", 4, 1, TIE("start") MARKS(SLUR("start", 1)))
                             NOTE("F", 4, 1, TIE("stop")) NOTE("G", 4, 1, MARKS(SLUR("stop", 1)))
                                 NOTE("A", 4, 1,
                                      MARKS("<slur type='start'/>")) "<note><grace/>" PITCH("B", 4)
                                     MARKS("<slur type='stop'/>") "</note>" NOTE("C", 5, 1, "")),
        "C4@0/1+1/8~ D4@1/8+1/8~ E4@1/4+1/8 F4@3/8+1/4~ G4@5/8+1/8 A4@3/4+1/8~ C5@7/8+1/8", 0);
    /* One that ends where the next begins. */
    check_notes(READ(NOTE("C", 4, 2, MARKS(SLUR("start", 1)))
                         NOTE("D", 4, 2, MARKS(SLUR("start", 1) SLUR("stop", 1)))
                             NOTE("E", 4, 2, MARKS(SLUR("stop", 1))) NOTE("F", 4, 2, "")),
                "C4@0/1+1/4~ D4@1/4+1/4~ E4@1/2+1/4 F4@3/4+1/4", 0);
}

#define PLAYED(mark) MARKS("<articulations>" mark "</articulations>")

static void test_marks(void **state)
{
    (void)state;
    check_notes(READ(NOTE("C", 4, 1, PLAYED("<staccato/>")) NOTE("D", 4, 1, PLAYED("<tenuto/>"))
                         NOTE("E", 4, 1, PLAYED("<accent/>"))
                             NOTE("F", 4, 1, PLAYED("<strong-accent type='up'/><staccatissimo/>"))
                                 NOTE("G", 4, 1, PLAYED("<detached-legato/>"))
                                     NOTE("A", 4, 1, PLAYED("<spiccato/>"))
                                         NOTE("B", 4, 2, PLAYED("<scoop/>"))),
                "C4@0/1+1/8. D4@1/8+1/8_ E4@1/4+1/8> F4@3/8+1/8.> G4@1/2+1/8._ A4@5/8+1/8. "
                "B4@3/4+1/4",
                0);
}

/* In one voice a backup puts one note over another: the first stands. */
static void test_none_over_another(void **state)
{
    (void)state;
    check_notes(READ(NOTE("C", 4, 4, "") "<backup><duration>2</duration></backup>" NOTE(
                    "D", 4, 2, "") NOTE("E", 4, 4, "") NOTE("F", 4, 0, "")),
                "C4@0/1+1/2 E4@1/2+1/2", 2);
}

/* --- measures, meters, keys --- */

#define TIME(beats, type)                                                                          \
    "<attributes><time><beats>" beats "</beats><beat-type>" type "</beat-type></time></"           \
    "attributes>"

static void test_measures(void **state)
{
    (void)state;
    check_bars(read_file(FILE_OF(PART_LIST,
                                 BAR(0, ATTRIBUTES NOTE("C", 4, 2, "")) BAR(1, NOTE("C", 4, 8, ""))
                                     BAR(X1, NOTE("C", 4, 4, "")) BAR(2, "") BAR(17, REST(8))),
                         ""),
               "0p@0/1+1/4:4/4:-2 1@1/4+1/1:4/4:-2 1@5/4+1/2:4/4:-2 2@7/4+1/1:4/4:-2 "
               "17@11/4+1/1:4/4:-2");
    /* A pickup goes by the number before the next one's, whatever the file calls it. */
    check_bars(read_file(FILE_OF(PART_LIST, BAR(X0, ATTRIBUTES NOTE("C", 4, 2, ""))
                                                BAR(33, NOTE("C", 4, 8, ""))),
                         ""),
               "32p@0/1+1/4:4/4:-2 33@1/4+1/1:4/4:-2");
}

static void test_meters(void **state)
{
    (void)state;
    check_bars(
        read_file(
            FILE_OF(PART_LIST,
                    BAR(1, ATTRIBUTES TIME("3+2", "8")
                               NOTE("C", 4, 5, "")) BAR(2, TIME("6", "8") NOTE("C", 4, 6, ""))
                        BAR(3, "<attributes><time><beats>2</beats>"
                               "<beat-type>4</beat-type><beats>3</beats>"
                               "<beat-type>8</beat-type></time></attributes>" NOTE("C", 4, 7, ""))
                            BAR(4, "<attributes><time><senza-misura/></time></attributes>" NOTE(
                                       "C", 4, 7, ""))),
            ""),
        "1@0/1+5/8:3+2/8:-2 2@5/8+3/4:6/8:-2 3@11/8+7/8:4+3/8:-2 4@9/4+7/8:4+3/8:-2");
    /* In mid-measure it is for the next one; where none stands, bars are of four quarters. */
    check_bars(
        read_file(FILE_OF(PART_LIST,
                          BAR(1, "<attributes><divisions>2</divisions></attributes>" NOTE(
                                     "C", 4, 8, "") TIME("3", "4")) BAR(2, NOTE("C", 4, 6, ""))),
                  ""),
        "1@0/1+1/1:4/4:0 2@1/1+3/4:3/4:0");
}

#define KEY(fifths, mode)                                                                          \
    "<attributes><key><fifths>" #fifths "</fifths><mode>" mode "</mode></key></attributes>"

static void test_keys(void **state)
{
    (void)state;
    check_bars(read_file(FILE_OF(PART_LIST,
                                 BAR(1, ATTRIBUTES KEY(-7, "minor") NOTE("C", 4, 8, ""))
                                     BAR(2, KEY(7, "major") NOTE("C", 4, 8, ""))
                                         BAR(3, KEY(1, "dorian") NOTE("C", 4, 8, ""))
                                             BAR(4, "<attributes><key number='2'><fifths>3</fifths>"
                                                    "</key></attributes>" NOTE("C", 4, 8, ""))),
                         ""),
               "1@0/1+1/1:4/4:-4m 2@1/1+1/1:4/4:7 3@2/1+1/1:4/4:1 4@3/1+1/1:4/4:1");
    struct passo_score score = read_file(
        FILE_OF(PART_LIST,
                BAR(1, "<attributes><divisions>2</divisions></attributes>" NOTE("C", 4, 8, ""))),
        "");
    assert_false(score.keyed);
    passo_score_deinit(&score);
}

static void test_transpositions(void **state)
{
    (void)state;
    static const struct {
        const char *transpose;
        bool transposes;
        int semitones;
    } row[] = {{"", false, 0},
               {"<transpose><chromatic>-2</chromatic></transpose>", true, -2},
               {"<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic>"
                "<octave-change>-1</octave-change></transpose>",
                true, -14},
               {"<transpose><chromatic>-7</chromatic></transpose>"
                "<transpose><chromatic>-9</chromatic></transpose>",
                true, -7}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        char text[2048];
        snprintf(text, sizeof text,
                 FILE_OF(PART_LIST,
                         BAR(1, ATTRIBUTES "<attributes>%s</attributes>" NOTE("C", 5, 8, ""))),
                 row[i].transpose);
        struct passo_score score = read_file(text, "");
        assert_int_equal(score.transposes, row[i].transposes);
        assert_int_equal(score.transposition, row[i].semitones);
        check_notes(score, "C5@0/1+1/1", 0); /* as written */
    }
}

/* --- tempi --- */

#define METRONOME(text)                                                                            \
    "<direction><direction-type><metronome>" text "</metronome></direction-type></direction>"
#define UNIT(name)  "<beat-unit>" name "</beat-unit>"
#define PER(number) "<per-minute>" number "</per-minute>"

static void test_tempi(void **state)
{
    (void)state;
    check_tempi(READ("<sound tempo='96'/>" NOTE("C", 4, 8, "")), "96000@0/1=1/4");
    /* The printed one stands before the one that is meant for programs. */
    check_tempi(READ("<direction><direction-type/><sound tempo='181.5'/></direction>" METRONOME(
                    UNIT("quarter") "<beat-unit-dot/>" PER("c. 121 (138)")) NOTE("C", 4, 4, "")
                         METRONOME(UNIT("eighth") PER("92.75")) NOTE("C", 4, 4, "")),
                "121000@0/1=3/8 92750@1/2=1/8");
    check_tempi(READ(METRONOME(UNIT("half") "<beat-unit-dot/><beat-unit-dot/>" PER("60"))
                         NOTE("C", 4, 8, "")),
                "60000@0/1=7/8");
    check_tempi(READ("<beat-unit-dot/>" NOTE("C", 4, 8, "")), ""); /* in no metronome */
    /* One beat becomes another; a number that is none; and beyond what can be played. */
    check_tempi(READ(METRONOME(UNIT("quarter") UNIT("eighth")) METRONOME(UNIT("quarter") PER("?"))
                         NOTE("C", 4, 4, "") METRONOME(UNIT("whole") PER("99999999999"))
                             NOTE("C", 4, 4, "")),
                "1000000@1/2=1/1");
    assert_int_equal(musicxml_thousandths("59.9999"), 60000);
    assert_int_equal(musicxml_thousandths("59,94"), 59940);
    assert_int_equal(musicxml_thousandths("none"), 0);
}

/* --- parts --- */

static const char band[] =
    "<score-partwise><movement-title>The\n   Lantern &amp; the Mill</movement-title><part-list>"
    "<score-part id='A'><part-name>Drum</part-name></score-part>"
    "<score-part id='B'><part-name>Cornet\n 1</part-name></score-part>"
    "<score-part id='C'><part-name>Cornet 2</part-name></score-part></part-list>"
    "<part id='A'><measure number='1'><attributes><divisions>1</divisions></attributes>"
    "<note><unpitched/><duration>4</duration></note></measure></part>"
    "<part id='B'><measure number='1'><attributes><divisions>8</divisions></attributes>"
    "<note><pitch><step>C</step><octave>5</octave></pitch><duration>32</duration></note></"
    "measure></part>"
    "<part id='C'><measure number='1'><attributes><divisions>1</divisions></attributes>"
    "<note><pitch><step>E</step><octave>4</octave></pitch><duration>4</duration></note></measure></"
    "part>"
    "</score-partwise>";

static void test_parts(void **state)
{
    (void)state;
    static const struct {
        const char *part, *name, *notes;
    } row[] = {{"", "Cornet 1", "C5@0/1+1/1"},
               {"2", "Cornet 1", "C5@0/1+1/1"},
               {"3", "Cornet 2", "E4@0/1+1/1"},
               {"cornet 2", "Cornet 2", "E4@0/1+1/1"}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct passo_score score = read_file(band, row[i].part);
        assert_string_equal(score.title, "The Lantern & the Mill");
        assert_string_equal(score.part, row[i].name);
        assert_int_equal(score.parts, 3);
        check_notes(score, row[i].notes, 0);
    }
    struct passo_score score;
    assert_int_equal(read_text(band, &(struct passo_score_ask){.part = "drum"}, &score),
                     PASSO_ERR_SYNTAX);
    scores_check_fault(&score, fault);
    assert_non_null(strstr(fault, "part 1 has no notes; part 2 is the first"));
    assert_int_equal(read_text(band, &(struct passo_score_ask){.part = "4"}, &score),
                     PASSO_ERR_RANGE);
    scores_check_fault(&score, fault);
}

/* A timewise file in which the second part is missing from a measure, and the first comes late. */
static void test_timewise_gaps(void **state)
{
    (void)state;
    static const char text[] =
        "<score-timewise><part-list><score-part id='P1'/><score-part id='P2'/></part-list>"
        "<measure number='5'><part id='P2'>" ATTRIBUTES NOTE(
            "D", 4, 8,
            "") "</part></measure>"
                "<measure number='6'><part id='P1'>" ATTRIBUTES "<sound tempo='80'/>" NOTE(
                    "C", 4, 8, "") "</part></measure>"
                                   "<measure number='7'><part id='P1'>" NOTE(
                                       "E", 4, 8,
                                       "") "</part><part id='P2'>" NOTE("F", 4, 8,
                                                                        "") "</part></measure></"
                                                                            "score-timewise>";
    struct passo_score score = read_file(text, "2");
    assert_string_equal(scores_tempi(&score), "80000@1/1=1/4");
    assert_string_equal(scores_bars(&score), "5@0/1+1/1:4/4:-2 6@1/1+1/1:4/4:-2 7@2/1+1/1:4/4:-2");
    check_notes(score, "D4@0/1+1/1 F4@2/1+1/1", 0);
    check_notes(read_file(text, "1"), "C4@1/1+1/1 E4@2/1+1/1", 0);
}

/* Elements where they do not belong: nothing is read of them. */
static void test_strange_places(void **state)
{
    (void)state;
    check_notes(
        read_file("<score-timewise><x><part id='P1'>" ATTRIBUTES NOTE(
                      "A", 4, 8, "") "</part></x>"
                                     "<measure><part id='P1'>" ATTRIBUTES NOTE(
                                         "C", 4, 8, "") "</part></measure></score-timewise>",
                  ""),
        "C4@0/1+1/1", 0);
    check_notes(
        read_file("<score-partwise><x><measure>" NOTE(
                      "A", 4, 8,
                      "") "</measure></x>"
                          "<measure>" NOTE(
                              "A", 4, 8,
                              "") "</measure><part id='P1'><measure>" ATTRIBUTES
                                  "<note>" NOTE("D", 4, 2, "")
                                      NOTE("C", 4, 8,
                                           "") "<rest/></note></measure></part></score-partwise>",
                  ""),
        "D4@0/1+1/4 C4@1/4+1/1 C4@5/4+1/1", 0);
}

/* --- what is refused --- */

static void test_refusals(void **state)
{
    (void)state;
    check_refused("", PASSO_ERR_SYNTAX, "empty");
    check_refused("<html/>", PASSO_ERR_SYNTAX, "line 1: the file is \"html\", not MusicXML");
    check_refused("<score-partwise>\n\n<part", PASSO_ERR_SYNTAX, "line 3: this is no XML");
    check_refused(FILE_OF(PART_LIST, ""), PASSO_ERR_SYNTAX, "no notes");
    check_refused(FILE_OF(PART_LIST, BAR(1, NOTE("C", 4, 4, ""))), PASSO_ERR_SYNTAX,
                  "no divisions");
    REFUSED(NOTE("C", 4, 0, ""), "no notes that last");
    REFUSED("<note>" PITCH("C", 4) "</note>", "without a duration");
    REFUSED(NOTE("H", 4, 2, ""), "a step of \"H\"");
    REFUSED(NOTE("C", 10, 2, ""), "an octave of \"10\"");
    REFUSED(NOTE("C", 4, -2, ""), "a duration of \"-2\"");
    REFUSED(NOTE("C", 4, 1000, ""), "a duration of \"1000\"");
    REFUSED("<note><pitch><step>C</step></pitch><duration>2</duration></note>", "its octave");
    REFUSED("<note><pitch><step>C</step><alter>0.5</alter><octave>4</octave></pitch></note>",
            "an alter of \"0.5\"");
    REFUSED(NOTE("C", 4, 2, "") "<backup><duration>3</duration></backup>", "a backup of more");
    REFUSED(TIME("4+", "4") TIME("four", "4"), "beats of \"four\"");
    REFUSED(TIME("4", "3"), "a beat type of \"3\"");
    REFUSED("<attributes><key><fifths>8</fifths></key></attributes>", "fifths of \"8\"");
    REFUSED("<attributes><divisions>0.5</divisions></attributes>", "divisions of \"0.5\"");
    REFUSED("<attributes><transpose><chromatic>many</chromatic></transpose></attributes>",
            "a transposition of \"many\"");
    /* What is quoted is safe to show. */
    REFUSED("<note><pitch><step>\x7F\xC3\xA9</step></pitch></note>", "a step of \"???\"");
    check_refused(FILE_OF(PART_LIST, BAR(1, ATTRIBUTES TIME("40+40", "4") NOTE("C", 4, 4, ""))),
                  PASSO_ERR_RANGE, "a time signature that cannot be counted");
}

/* Files of other people's: each is one sentence, soon, and costs little memory. */
static void test_files_that_mean_harm(void **state)
{
    (void)state;
    check_refused("<!DOCTYPE a [<!ENTITY x 'ha'><!ENTITY y '&x;&x;'>]><score-partwise>&y;"
                  "</score-partwise>",
                  PASSO_ERR_SYNTAX, "line 1: the file declares entities of its own");
    check_refused("<!DOCTYPE a [<!ENTITY x SYSTEM 'file:///etc/passwd'>]><score-partwise>&x;"
                  "</score-partwise>",
                  PASSO_ERR_SYNTAX, "entities");
    check_refused("<!DOCTYPE a [<!ENTITY % x SYSTEM 'http://127.0.0.1/'> %x;]><score-partwise/>",
                  PASSO_ERR_SYNTAX, "entities");
    /* What is declared elsewhere is not fetched. */
    check_notes(read_file("<!DOCTYPE score-partwise PUBLIC '-//x' 'file:///dev/zero'>" FILE_OF(
                              PART_LIST, BAR(1, ATTRIBUTES NOTE("C", 4, 8, ""))),
                          ""),
                "C4@0/1+1/1", 0);
    char *text = malloc(PASSO_SCORE_BYTES_MAX + 1);
    assert_non_null(text);
    for (size_t i = 0; i < 300000; i++)
        memcpy(text + 3 * i, "<a>", 3);
    memcpy(text, "<score-partwise><a>", 19);
    memset(text + 19, ' ', 2); /* so that the next begins with '<' */
    text[900000] = '\0';
    check_refused(text, PASSO_ERR_RANGE, "more than 64 others");
    memset(text, 'a', PASSO_SCORE_BYTES_MAX);
    memcpy(text, "<score-partwise ", 16);
    text[PASSO_SCORE_BYTES_MAX] = '\0';
    check_refused(text, PASSO_ERR_RANGE, "a tag or a comment of more than 128 KiB");
    memcpy(text, "<score-partwise>", 16); /* one text, as long as a file may be */
    check_refused(text, PASSO_ERR_SYNTAX, "this is no XML");
    free(text);
}

/* Divisions that are coprime from note to note: the places would need ever finer parts. */
static void test_no_common_part(void **state)
{
    (void)state;
    static const int prime[] = {10007, 10009, 10037};
    char text[2048] = "";
    size_t used = 0;
    for (size_t i = 0; i < 3; i++)
        used += (size_t)snprintf(
            text + used, sizeof text - used,
            "<attributes><divisions>%d</divisions></attributes>" NOTE("C", 4, 1, ""), prime[i]);
    char whole[4096];
    snprintf(whole, sizeof whole, FILE_OF(PART_LIST, BAR(1, "%s")), text);
    check_refused(whole, PASSO_ERR_RANGE, "no common part");
}

static void test_a_measure_without_end(void **state)
{
    (void)state;
    check_refused(FILE_OF(PART_LIST, BAR(1, ATTRIBUTES NOTE("C", 4, 512, "") NOTE("C", 4, 512, "")
                                                NOTE("C", 4, 512, ""))),
                  PASSO_ERR_RANGE, "a measure of more than 128 whole notes");
}

static void test_cut_off_anywhere(void **state)
{
    (void)state;
    struct passo_score score;
    for (size_t bytes = 0; bytes < strlen(band); bytes++) {
        assert_int_equal(passo_musicxml_read(band, bytes, &plain, &score, fault, sizeof fault),
                         PASSO_ERR_SYNTAX);
        scores_check_fault(&score, fault);
    }
}

/* As many bars as may be, and one more. */
static void test_many_bars(void **state)
{
    (void)state;
    static const char head[] = "<score-partwise><part id='P1'><measure number='1'>" ATTRIBUTES NOTE(
        "C", 4, 8, "") "</measure>";
    static const char bar[] = "<measure/>";
    static const char tail[] = "</part></score-partwise>";
    const size_t bytes = sizeof head + PASSO_SCORE_BARS_MAX * (sizeof bar - 1) + sizeof tail;
    char *text = malloc(bytes);
    assert_non_null(text);
    size_t used = sizeof head - 1;
    memcpy(text, head, used);
    for (size_t i = 1; i < PASSO_SCORE_BARS_MAX; i++, used += sizeof bar - 1)
        memcpy(text + used, bar, sizeof bar - 1);
    memcpy(text + used, tail, sizeof tail);
    struct passo_score score = read_file(text, "");
    assert_int_equal(score.bars, PASSO_SCORE_BARS_MAX);
    passo_score_deinit(&score);
    memcpy(text + used, bar, sizeof bar - 1);
    memcpy(text + used + sizeof bar - 1, tail, sizeof tail);
    check_refused(text, PASSO_ERR_RANGE, "20000 bars");
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_elements_are_in_order),
        cmocka_unit_test(test_pitches),
        cmocka_unit_test(test_rests_and_what_is_not_played),
        cmocka_unit_test(test_chords),
        cmocka_unit_test(test_voices),
        cmocka_unit_test(test_ties),
        cmocka_unit_test(test_slurs),
        cmocka_unit_test(test_marks),
        cmocka_unit_test(test_none_over_another),
        cmocka_unit_test(test_measures),
        cmocka_unit_test(test_meters),
        cmocka_unit_test(test_keys),
        cmocka_unit_test(test_transpositions),
        cmocka_unit_test(test_tempi),
        cmocka_unit_test(test_parts),
        cmocka_unit_test(test_timewise_gaps),
        cmocka_unit_test(test_strange_places),
        cmocka_unit_test(test_refusals),
        cmocka_unit_test(test_files_that_mean_harm),
        cmocka_unit_test(test_no_common_part),
        cmocka_unit_test(test_a_measure_without_end),
        cmocka_unit_test(test_cut_off_anywhere),
        cmocka_unit_test(test_many_bars),
    };
    return cmocka_run_group_tests_name("score/musicxml", tests, NULL, NULL);
}
