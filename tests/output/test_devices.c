/* Devices, as far as every machine has them, also one without any: the list is consistent, a device
 * that is not there is refused with its name, and no library prints anything on stderr. Real sound
 * is tested in tests/rig. */
#include "sound/help.h"

#include "output/output.h"

#include <stdio.h>
#include <unistd.h>

/* libjack, loaded by PortAudio, leaks about 12 KiB at each look for a server that is not there. */
const char *__asan_default_options(void);
const char *__asan_default_options(void)
{
    return "detect_leaks=0";
}

/* libpulse is not built for ThreadSanitizer, which misses how it hands memory to its threads. */
const char *__tsan_default_suppressions(void);
const char *__tsan_default_suppressions(void)
{
    return "race:libpulse\n";
}

static FILE *true_end;
static int kept_stderr;

static int watch_stderr(void **state)
{
    (void)state;
    true_end = tmpfile();
    kept_stderr = dup(STDERR_FILENO);
    dup2(fileno(true_end), STDERR_FILENO);
    return 0;
}

static int leave_stderr(void **state)
{
    (void)state;
    dup2(kept_stderr, STDERR_FILENO);
    close(kept_stderr);
    return fclose(true_end);
}

static void check_nothing_printed(void)
{
    char text[16];
    assert_int_equal(pread(fileno(true_end), text, sizeof text, 0), 0);
}

static void test_list(void **state)
{
    (void)state;
    struct passo_device device[64];
    size_t count = passo_devices(device, 64);
    int defaults = 0;
    for (size_t i = 0; i < count && i < 64; i++) {
        assert_true(device[i].channels > 0);
        assert_true(device[i].rate_hz > 0);
        assert_true(device[i].number >= 0);
        assert_true(strlen(device[i].name) < sizeof device[i].name);
        defaults += device[i].is_default;
    }
    assert_in_range(defaults, 0, 1);
    assert_int_equal(passo_devices(device, 0), count);
    check_nothing_printed();
}

static void check_refused(const char *name)
{
    const struct passo_output_ask ask = {.device = name};
    struct passo_output *output = NULL;
    char fault[256];
    int tries = 0;
    do { /* on a machine that is very busy the library may not answer in time: asked again */
        if (tries > 0)
            sleep(1);
        assert_int_equal(passo_output_portaudio.open(&ask, &output, fault, sizeof fault),
                         PASSO_ERR_DEVICE);
        assert_null(output);
    } while (strstr(fault, "does not answer") && ++tries < 30);
    assert_non_null(strstr(fault, name));
    assert_non_null(strstr(fault, "passo devices"));
    check_nothing_printed();
}

static void test_a_device_that_is_not_there(void **state)
{
    (void)state;
    check_refused("Marrowby bandstand");
    check_refused("9999");
    check_refused("-1");
    check_refused("99999999999999999999");
}

static void test_close_null(void **state)
{
    (void)state;
    passo_output_portaudio.close(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_list, watch_stderr, leave_stderr),
        cmocka_unit_test_setup_teardown(test_a_device_that_is_not_there, watch_stderr,
                                        leave_stderr),
        cmocka_unit_test(test_close_null),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
