/* Who is set in, and where its first visit stands. By need, each passage takes the key that agrees
 * best and is still free; if none is, one that holds such a key moves on to another of its own, and
 * if none can, the key is another's today. Who once has a place keeps one, so that the turn is
 * never taken from the needier. Pure; any thread. */
#include "engine/today_priv.h"

static size_t key_index(struct passo_key key)
{
    return (size_t)(key.mode * (2 * PASSO_TONIC_MAX + 1) + key.tonic + PASSO_TONIC_MAX);
}

static void learn_key(struct today_entry *entry, struct passo_key key)
{
    const size_t at = key_index(key);
    entry->match[at] = PASSO_KEY_APART;
    for (size_t i = 0; i < entry->passage->keys; i++) {
        const enum passo_key_match match = passo_key_match(entry->passage->key[i], key);
        if (match < entry->match[at]) {
            entry->match[at] = (uint8_t)match;
            entry->which[at] = (uint8_t)i;
        }
    }
}

void today_learn_matches(struct today_work *work)
{
    for (size_t i = 0; i < work->entries; i++) {
        struct today_entry *entry = &work->entry[i];
        for (int mode = 0; mode < PASSO_MODE_COUNT; mode++) {
            for (int tonic = -PASSO_TONIC_MAX; tonic <= PASSO_TONIC_MAX; tonic++)
                learn_key(entry, (struct passo_key){(int8_t)tonic, (uint8_t)mode});
        }
        for (size_t b = 0; b < work->routine->blocks; b++) {
            const struct passo_block *block = &work->routine->block[b];
            size_t bytes;
            entry->tagged[b] = today_shared_tag(entry->passage->tags, block, &bytes) != NULL;
            const size_t words = today_shared_words(entry->passage, block);
            entry->words[b] = (uint8_t)(words < UINT8_MAX ? words : UINT8_MAX);
        }
    }
}

enum passo_key_match today_match(const struct today_work *work, const struct today_entry *entry,
                                 const struct today_stop *stop)
{
    if (!stop->keyed)
        return PASSO_KEY_APART;
    const enum passo_key_match match = entry->match[key_index(stop->key)];
    return match == PASSO_KEY_RELATIVE && !work->routine->relative ? PASSO_KEY_APART : match;
}

struct passo_key today_matched_key(const struct today_entry *entry, const struct today_stop *stop)
{
    return entry->passage->key[entry->which[key_index(stop->key)]];
}

enum passo_place_why today_why(enum passo_key_match match)
{
    switch (match) {
    case PASSO_KEY_SAME:
        return PASSO_PLACE_KEY;
    case PASSO_KEY_ENHARMONIC:
        return PASSO_PLACE_ENHARMONIC;
    case PASSO_KEY_RELATIVE:
        return PASSO_PLACE_RELATIVE;
    case PASSO_KEY_APART:
    case PASSO_KEY_MATCH_COUNT:
        break;
    }
    return PASSO_PLACE_SUITS;
}

/* The stop whose key agrees best, of the free ones or of all; TODAY_NOBODY: none agrees. */
static size_t best_key(const struct today_work *work, const struct today_entry *entry,
                       bool only_free)
{
    size_t best = TODAY_NOBODY;
    enum passo_key_match best_match = PASSO_KEY_APART;
    for (size_t i = 0; i < work->stops; i++) {
        const struct today_stop *stop = &work->stop[i];
        const enum passo_key_match match = today_match(work, entry, stop);
        if (match == PASSO_KEY_APART || (only_free && stop->holder != TODAY_NOBODY))
            continue;
        if (match < best_match || (match == best_match && stop->draw < work->stop[best].draw)) {
            best = i;
            best_match = match;
        }
    }
    return best;
}

/* The end of a block that shares a tag: of several the one with the fewest visits. */
static size_t best_tag(const struct today_work *work, const struct today_entry *entry)
{
    size_t best = TODAY_NOBODY;
    for (size_t i = 0; i < work->stops; i++) {
        const struct today_stop *stop = &work->stop[i];
        if (!stop->last || !entry->tagged[stop->block])
            continue;
        const struct today_stop *than = best == TODAY_NOBODY ? NULL : &work->stop[best];
        if (!than || stop->visits < than->visits ||
            (stop->visits == than->visits && stop->draw < than->draw))
            best = i;
    }
    return best;
}

static void stand(struct today_work *work, size_t entry, size_t stop, enum passo_place_why why)
{
    struct today_entry *of = &work->entry[entry];
    of->stop = stop;
    of->why = why;
    work->stop[stop].visits++;
    if (why != PASSO_PLACE_TAG && why != PASSO_PLACE_SUITS)
        work->stop[stop].holder = entry;
}

static bool stand_free(struct today_work *work, size_t entry)
{
    const struct today_entry *of = &work->entry[entry];
    const size_t key = best_key(work, of, true);
    if (key != TODAY_NOBODY) {
        stand(work, entry, key, today_why(today_match(work, of, &work->stop[key])));
        return true;
    }
    const size_t tag = best_tag(work, of);
    if (tag != TODAY_NOBODY)
        stand(work, entry, tag, PASSO_PLACE_TAG);
    return tag != TODAY_NOBODY;
}

/* Takes a key from one that can move on to another place (an augmenting path). tried: the stops
 * that were looked at on the way. */
static bool stand_by_moving(struct today_work *work, size_t entry, bool *tried)
{
    for (size_t i = 0; i < work->stops; i++) {
        struct today_stop *stop = &work->stop[i];
        const enum passo_key_match match = today_match(work, &work->entry[entry], stop);
        if (match == PASSO_KEY_APART || tried[i])
            continue;
        tried[i] = true;
        const size_t holder = stop->holder;
        if (!stand_free(work, holder) && !stand_by_moving(work, holder, tried))
            continue;
        stop->visits--; /* the holder's, which stands elsewhere now */
        stand(work, entry, i, today_why(match));
        return true;
    }
    return false;
}

/* False: its keys are another's today. */
static bool find_place(struct today_work *work, size_t entry)
{
    struct today_entry *of = &work->entry[entry];
    bool tried[TODAY_STOPS_MAX] = {false};
    if (work->stops == 0 || stand_free(work, entry))
        return true;
    const size_t wanted = best_key(work, of, false);
    if (wanted == TODAY_NOBODY || stand_by_moving(work, entry, tried))
        return true;
    of->part.why = PASSO_GETS_TURN;
    return false;
}

static void admit(struct today_work *work, struct today_entry *entry)
{
    entry->placed = true;
    work->placed++;
}

/* Those whose key is another's come in too, at the end of some block, where each could still have a
 * whole visit, or where minutes are left after all have their most. */
static void admit_the_rest(struct today_work *work, size_t room)
{
    const int64_t least = today_least_s(work->routine);
    const int64_t most = today_most_s(work->routine);
    const int64_t visit = today_visit_s(work->routine);
    const int64_t all = work->ask->passages_ms / TODAY_SECOND_MS;
    for (size_t i = 0; i < work->entries && work->placed < room; i++) {
        struct today_entry *entry = &work->entry[i];
        const int64_t placed = (int64_t)work->placed;
        const bool fits = (placed + 1) * visit <= all || all - placed * most >= least;
        if (entry->part.why != PASSO_GETS_TURN || !fits)
            continue;
        entry->part.why = PASSO_GETS_TIME;
        admit(work, entry);
    }
}

void today_place(struct today_work *work)
{
    const size_t room = today_room(work);
    for (size_t i = 0; i < work->entries; i++) {
        struct today_entry *entry = &work->entry[i];
        entry->draw = (uint32_t)(passo_random_next(&work->random) >> 32);
        entry->placed = false;
        entry->stop = TODAY_NOBODY;
        entry->why = work->stops > 0 ? PASSO_PLACE_SUITS : PASSO_PLACE_FREE;
        entry->part = (struct passo_today_part){.after = entry->passage->level,
                                                .why = entry->passage->due ? PASSO_GETS_TIME
                                                                           : PASSO_GETS_NOT_DUE};
        if (entry->passage->due && work->placed < room && find_place(work, i))
            admit(work, entry);
    }
    admit_the_rest(work, room);
    for (size_t i = 0; i < work->entries; i++) {
        struct today_entry *entry = &work->entry[i];
        if (entry->part.why == PASSO_GETS_TURN)
            entry->part.other = work->entry[work->stop[best_key(work, entry, false)].holder].index;
    }
}

static size_t visits_of_block(const struct today_work *work, size_t block)
{
    size_t visits = 0;
    for (size_t i = 0; i < work->stops; i++)
        visits += work->stop[i].block == block ? work->stop[i].visits : 0;
    return visits;
}

void today_place_suited(struct today_work *work)
{
    for (size_t i = 0; i < work->entries; i++) {
        struct today_entry *entry = &work->entry[i];
        size_t best = TODAY_NOBODY;
        size_t best_visits = 0;
        if (!entry->placed || entry->stop != TODAY_NOBODY)
            continue;
        for (size_t s = 0; s < work->stops; s++) {
            const struct today_stop *stop = &work->stop[s];
            if (!stop->last || !(entry->words[stop->block] ? stop->warm : stop->open))
                continue;
            const size_t visits = visits_of_block(work, stop->block);
            const struct today_stop *than = best == TODAY_NOBODY ? NULL : &work->stop[best];
            const int words =
                than ? (int)entry->words[stop->block] - (int)entry->words[than->block] : 1;
            if (words > 0 || (words == 0 && (visits < best_visits ||
                                             (visits == best_visits && stop->draw < than->draw)))) {
                best = s;
                best_visits = visits;
            }
        }
        if (best != TODAY_NOBODY)
            stand(work, i, best, PASSO_PLACE_SUITS);
    }
}
