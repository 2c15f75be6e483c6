/* Every statement of the log but the schema's, as one table; each is prepared when it is first
 * used and kept until the file is closed. Runs on the main thread. */
#include "store/log_priv.h"

#define PASS_COLUMNS                                                                               \
    "number, time_ns, offset_s, part, stage, rung, turn, ended_ms, played_ms, loop, bars, "        \
    "variant, off_pitch, beat_unit, tempo_mbpm, target_mbpm, mark, marked_by, miss_bar, "          \
    "clean_in_a_row, move, next_mbpm, play_ms, rest_ms, elapsed_ms"
#define CHANGE_COLUMNS                                                                             \
    "number, kind, mark, marked_by, miss_bar, clean_in_a_row, move, next_mbpm, rest_ms, "          \
    "elapsed_ms"
#define DEED_COLUMNS "routine, item, kind, time_ns, offset_s, day, played_ns, rested_ns"
/* With the name's text; a player that is not there gives NULL, which is the id of no text. */
#define DEEDS                                                                                      \
    "SELECT (SELECT name FROM player WHERE player.id = deed.player), " DEED_COLUMNS " FROM deed "
/* Climbs whose passes may lie between two seconds. */
#define CLIMBS_BETWEEN                                                                             \
    " FROM climb WHERE passage = ?1 AND last_s >= ?2 AND first_s <= ?3 ORDER BY first_s, session"

static const char *const sql[LOG_STATEMENTS] = {
    [LOG_BEGIN_READ] = "BEGIN",
    [LOG_BEGIN_WRITE] = "BEGIN IMMEDIATE",
    [LOG_COMMIT] = "COMMIT",
    [LOG_TEXT_ADD] = "INSERT INTO text (text) VALUES (?1)",
    [LOG_TEXT_FIND] = "SELECT id FROM text WHERE text = ?1",
    [LOG_TEXT_READ] = "SELECT text FROM text WHERE id = ?1",
    [LOG_PLAYER_ADD] = "INSERT INTO player (name) VALUES (?1)",
    [LOG_PLAYER_FIND] = "SELECT id FROM player WHERE name = ?1",
    [LOG_PLAYERS_READ] = "SELECT name FROM player ORDER BY id",
    [LOG_PASSAGE_ADD] = "INSERT INTO passage (player, title, piece) VALUES (?1, ?2, ?3)",
    [LOG_PASSAGE_FIND] = "SELECT id FROM passage WHERE player = ?1 AND title = ?2 AND piece = ?3",
    [LOG_PASSAGES_READ] = "SELECT passage.id, player.name, title, piece FROM passage "
                          "JOIN player ON player.id = passage.player "
                          "ORDER BY passage.player, passage.id",
    [LOG_CLIMB_ADD] = "INSERT INTO climb (passage, session, began_ns, offset_s, setup, seen_live) "
                      "VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    [LOG_CLIMB_FIND] = "SELECT id, first_s, last_s FROM climb WHERE passage = ?1 AND session = ?2",
    [LOG_SESSION_FIND] = "SELECT 1 FROM climb WHERE session = ?4 AND passage = "
                         "(SELECT id FROM passage WHERE player = (SELECT id FROM player "
                         "WHERE name = (SELECT id FROM text WHERE text = ?1)) "
                         "AND title = (SELECT id FROM text WHERE text = ?2) "
                         "AND piece = (SELECT id FROM text WHERE text = ?3))",
    [LOG_CLIMB_SPAN] = "UPDATE climb SET first_s = ?2, last_s = ?3 WHERE id = ?1",
    [LOG_CLIMB_LATEST] = "SELECT id FROM climb WHERE passage = ?1 "
                         "ORDER BY began_ns DESC, id DESC LIMIT 1",
    [LOG_CLIMB_READ] = "SELECT session, began_ns, offset_s, seen_live, EXISTS "
                       "(SELECT 1 FROM ended WHERE ended.climb = climb.id), "
                       "player.name, title, piece, setup FROM climb "
                       "JOIN passage ON passage.id = climb.passage "
                       "JOIN player ON player.id = passage.player WHERE climb.id = ?1",
    [LOG_CLIMBS_READ] = "SELECT id, first_s, session" CLIMBS_BETWEEN,
    [LOG_PASS_ADD] = "INSERT INTO pass (climb, " PASS_COLUMNS ") VALUES (?1, ?2, ?3, ?4, ?5, ?6, "
                     "?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22, "
                     "?23, ?24, ?25, ?26)",
    [LOG_PASS_TIME] = "SELECT time_ns, offset_s FROM pass WHERE climb = ?1 AND number = ?2",
    [LOG_PASSES_READ] = "SELECT " PASS_COLUMNS " FROM pass WHERE climb = ?1 "
                        "AND number BETWEEN ?2 AND ?3 ORDER BY number",
    [LOG_CHANGE_ADD] = "INSERT INTO change (climb, " CHANGE_COLUMNS ", at_s) "
                       "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
    [LOG_CHANGES_READ] = "SELECT " CHANGE_COLUMNS " FROM change WHERE climb = ?1 "
                         "AND number BETWEEN ?2 AND ?3 ORDER BY number, id",
    [LOG_HAND_ADD] = "INSERT INTO hand (climb, after_pass, type, stage, rung, turn, elapsed_ms, "
                     "played_ms) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
    [LOG_HANDS_READ] = "SELECT after_pass, type, stage, rung, turn, elapsed_ms, played_ms "
                       "FROM hand WHERE climb = ?1 ORDER BY after_pass, id",
    [LOG_ENDED_ADD] = "INSERT INTO ended (climb, outcome) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
    [LOG_DAYS_DELETE] = "DELETE FROM day WHERE passage = ?1 AND day BETWEEN ?2 AND ?3",
    [LOG_DAY_ADD] = "INSERT INTO day (passage, day, first_ns, beat_unit, target_mbpm, passes, "
                    "clean, missed, play_ms, best_clean_mbpm, best_won_mbpm, first_try, "
                    "first_at_level, ended) "
                    "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)",
    [LOG_DAYS_READ] = "SELECT day, first_ns, beat_unit, target_mbpm, passes, clean, missed, "
                      "play_ms, best_clean_mbpm, best_won_mbpm, first_try, first_at_level, ended "
                      "FROM day WHERE passage = ?1 AND day BETWEEN ?2 AND ?3 "
                      "ORDER BY day, first_ns, beat_unit, target_mbpm",
    [LOG_DEED_ADD] = "INSERT INTO deed (player, " DEED_COLUMNS ") "
                     "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
    [LOG_DEEDS_READ] = DEEDS "WHERE day BETWEEN ?1 AND ?2 AND player = (SELECT id FROM player "
                             "WHERE name = (SELECT id FROM text WHERE text = ?3)) ORDER BY id",
    [LOG_DEEDS_READ_ALL] = DEEDS "WHERE day BETWEEN ?1 AND ?2 ORDER BY id",
};

const char *log_sql(enum log_statement statement)
{
    return sql[statement];
}

sqlite3_stmt *log_statement(struct passo_log *log, enum log_statement statement, int *out_rc)
{
    sqlite3_stmt **kept = &log->statement[statement];
    *out_rc = SQLITE_OK;
    if (!*kept)
        *out_rc =
            sqlite3_prepare_v3(log->db, sql[statement], -1, SQLITE_PREPARE_PERSISTENT, kept, NULL);
    return *kept;
}

int log_run(sqlite3_stmt *statement)
{
    int rc = sqlite3_step(statement);
    sqlite3_reset(statement);
    return rc == SQLITE_DONE || rc == SQLITE_ROW ? SQLITE_OK : rc;
}

int64_t log_number(sqlite3_stmt *statement, int column, int64_t least, int64_t most, int *rc)
{
    int64_t number = sqlite3_column_int64(statement, column);
    if (number >= least && number <= most)
        return number;
    *rc = SQLITE_CORRUPT;
    return least;
}
