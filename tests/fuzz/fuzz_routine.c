/* Any bytes as a routine file: it never crashes, and its faults are clear. What reads without a
 * fault keeps within its limits, can be planned, is written and reads back as the same routine. */
#include "fuzz.h"

#include "text/routine.h"

#include <unistd.h>

enum { LONGEST_BLOCK_MS = 120 * 60000, LONGEST_MS = 600 * 60000, DAY = 20454 };

static void check_block(const struct passo_routine_file *file, size_t at)
{
    const struct passo_block *block = &file->routine.block[at];
    const struct passo_routine_block *read = &file->block[at];
    const struct passo_routine alone = {.block = {*block}, .blocks = 1};
    const size_t keys = passo_cycle_length(&block->cycle);
    FUZZ_CHECK(block->name[0] && fuzz_is_clean(block->name) && fuzz_is_clean(block->tags));
    FUZZ_CHECK(fuzz_is_clean(read->caption));
    FUZZ_CHECK(!block->ms != !block->passes);
    FUZZ_CHECK(block->keys_a_day <= keys);
    FUZZ_CHECK(!read->setup == !block->pass_ms);
    FUZZ_CHECK(passo_routine_ms(&alone) > 0 && passo_routine_ms(&alone) <= LONGEST_BLOCK_MS);
    FUZZ_CHECK(read->setup || read->sound == PASSO_SOUND_PULSE);
    if (!read->setup)
        return;
    const enum passo_drone drone = read->setup->intonation.drone;
    FUZZ_CHECK((read->sound == PASSO_SOUND_PULSE) == (drone == PASSO_DRONE_NONE));
    FUZZ_CHECK(keys || drone == PASSO_DRONE_NONE || drone == PASSO_DRONE_NOTE);
    FUZZ_CHECK(read->setup->rule.start_mbpm == read->setup->rule.target_mbpm);
    FUZZ_CHECK(read->setup->course.stages == 1 && !read->setup->rule.finish_passes);
    FUZZ_CHECK(!strcmp(read->setup->passage.title, block->name));
}

/* A day of it, with passages that come up by a key, by a tag and nowhere. */
static void check_plan(const struct passo_routine_file *file, struct passo_random *random)
{
    const struct passo_today_passage passage[] = {
        {.name = "a", .tags = "chromatic", .level = -0.3, .rate = 0.01, .due = true},
        {.name = "b",
         .tags = "",
         .key = {{-4, PASSO_MODE_MAJOR}},
         .keys = 1,
         .level = -0.2,
         .rate = 0.02,
         .due = true},
        {.name = "c", .tags = "", .level = -0.1, .rate = 0.01, .due = true},
    };
    const struct passo_today_ask ask = {.routine = &file->routine,
                                        .passage = passage,
                                        .passages = 3,
                                        .passages_ms =
                                            file->passages_ms ? file->passages_ms : 600000,
                                        .day = DAY + passo_random_below(random, 30)};
    struct passo_today today = {0};
    FUZZ_CHECK(passo_today_plan(&ask, &today) == PASSO_OK);
    FUZZ_CHECK(today.blocks_ms == passo_routine_ms(&file->routine));
    passo_today_free(&today);
}

static char *written(const char *path)
{
    char *text = NULL;
    size_t bytes = 0;
    struct passo_faults faults = {0};
    FILE *to = open_memstream(&text, &bytes);
    FUZZ_CHECK(to);
    passo_routine_write(path, to, &faults);
    FUZZ_CHECK(fclose(to) == 0 && faults.faults == 0);
    return text;
}

static bool same_tuning(const struct passo_setup *a, const struct passo_setup *b)
{
    if (!a || !b)
        return !a && !b;
    const struct passo_intonation *one = &a->intonation;
    const struct passo_intonation *other = &b->intonation;
    return one->a4_hz == other->a4_hz && one->transposition == other->transposition &&
           one->drone == other->drone && one->pure_fifth == other->pure_fifth &&
           !memcmp(&one->note, &other->note, sizeof one->note);
}

static void check_write(const struct passo_routine_file *file, const char *path)
{
    static struct passo_routine_file back;
    struct passo_faults faults = {0};
    char again_path[FUZZ_PATH_BYTES];
    char *text = written(path);
    int fd = fuzz_file(text, strlen(text), again_path);
    passo_routine_read(again_path, &back, &faults);
    if (faults.faults)
        fprintf(stderr, "%s\n%s\n", faults.fault[0], text);
    FUZZ_CHECK(faults.faults == 0);
    FUZZ_CHECK(!memcmp(&file->routine, &back.routine, sizeof back.routine));
    FUZZ_CHECK(file->whole_ms == back.whole_ms && file->passages_ms == back.passages_ms);
    FUZZ_CHECK(file->visit_passes == back.visit_passes && file->rests == back.rests);
    FUZZ_CHECK(!strcmp(file->title, back.title) && !strcmp(file->rest_value, back.rest_value));
    for (size_t i = 0; i < back.routine.blocks; i++) {
        FUZZ_CHECK(!strcmp(file->block[i].caption, back.block[i].caption));
        FUZZ_CHECK(file->block[i].sound == back.block[i].sound);
        FUZZ_CHECK(same_tuning(file->block[i].setup, back.block[i].setup));
    }
    char *again = written(again_path);
    FUZZ_CHECK(!strcmp(text, again));
    free(again);
    free(text);
    passo_routine_deinit(&back);
    passo_faults_deinit(&faults);
    close(fd);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    static struct passo_routine_file file;
    struct passo_faults faults = {0};
    struct passo_random random;
    char path[FUZZ_PATH_BYTES];
    fuzz_memory_begin();
    fuzz_seed(&random, data, bytes);
    int fd = fuzz_file(data, bytes, path);
    passo_routine_read(path, &file, &faults);
    fuzz_check_faults(&faults);
    if (faults.faults == 0) {
        FUZZ_CHECK(file.routine.blocks && file.routine.blocks <= PASSO_BLOCKS_MAX);
        FUZZ_CHECK(passo_routine_ms(&file.routine) + file.passages_ms <= LONGEST_MS);
        for (size_t i = 0; i < file.routine.blocks; i++)
            check_block(&file, i);
        check_plan(&file, &random);
        check_write(&file, path);
    }
    passo_routine_deinit(&file);
    passo_faults_deinit(&faults);
    close(fd);
    fuzz_memory_end();
    return 0;
}
