/* The program under test as a program: `test_screen --show SCENE` opens the real screen on the real
 * terminal and shows a scene until q or a signal. After every draw and every key it writes a
 * marker that no terminal shows, so that a reader knows where one frame's bytes end.
 *
 *     --show SCENE   n: next beat, v: draw the same again, u: exit without close, p: abort,
 *                    s: overflow of the stack, l: draw a rest of one second less,
 *                    +: draw the next scene of the table, k: the day's line is left out
 *     --job SCENE    the same under a little shell that tells when it was stopped */
#ifndef PASSO_TESTS_VIEW_SHOW_H
#define PASSO_TESTS_VIEW_SHOW_H

#include <signal.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>
#include "scenes.h"
#include "session/signals.h"
#include "view/views.h"

static size_t show_scene_at;

static void show_marker(const char *what)
{
    char text[64];
    int bytes = snprintf(text, sizeof text, "\033]777;%s\a", what);
    if (write(STDOUT_FILENO, text, (size_t)bytes) < 0)
        _exit(4);
}

/* Deeper than any stack; the depth is read again each time, so that no compiler sees the end. */
static int show_overflow(volatile long *depth)
{
    volatile char here[4096];
    here[0] = (char)--*depth;
    return *depth > 0 ? show_overflow(depth) + here[0] : here[0];
}

/* Draws s; a rest as one that began with 20 s. */
static void show_draw(struct passo_view *view, struct passo_snapshot *s)
{
    int64_t left_ms = s->rest_left_ms;
    if (s->phase == PASSO_PHASE_REST && left_ms > 0) {
        s->rest_left_ms = 20000;
        view->ops->draw(view, s);
        s->rest_left_ms = left_ms;
    }
    view->ops->draw(view, s);
}

static void show_step(struct passo_view *view, struct passo_snapshot *s,
                      const struct passo_press *press)
{
    char text[32];
    switch ((int)press->command) {
    case PASSO_COMMAND_TURN:
        scene_beat(s, s->bar + (s->beat_of_bar == s->beats_of_bar),
                   s->beat_of_bar % s->beats_of_bar + 1, s->beats_of_bar,
                   s->beat_of_bar == s->beats_of_bar ? PASSO_CLICK_BAR : PASSO_CLICK_BEAT);
        break;
    case PASSO_COMMAND_LOUDER:
        scene_fill(scenes[++show_scene_at % SCENES].name, s);
        show_draw(view, s);
        break;
    case PASSO_COMMAND_LONGER:
        s->rest_left_ms -= 1000;
        break;
    case PASSO_COMMAND_SKIP: /* as the conductor does it: in place */
        scene_lines[scene_day.now].state = PASSO_DAY_SKIPPED;
        scene_day.serial++;
        break;
    case PASSO_COMMAND_UNDO:
        exit(5);
    case PASSO_COMMAND_PAUSE:
        abort();
    case PASSO_COMMAND_SOONER: {
        volatile long depth = 1L << 40;
        exit(show_overflow(&depth));
    }
    }
    view->ops->draw(view, s);
    snprintf(text, sizeof text, "%d", (int)press->command);
    show_marker(text);
}

/* 0 after q or a signal, 3 with the fault on stderr if there is no screen. */
static int show(const char *name)
{
    static struct passo_snapshot s;
    struct passo_view *view;
    char fault[256];
    struct rlimit no_core = {0, 0};
    setrlimit(RLIMIT_CORE, &no_core);
    if (!scene_fill(name, &s))
        return 2;
    passo_signals_init();
    if (getenv("SHOW_NOHUP") != NULL)
        signal(SIGHUP, SIG_IGN);
    if (passo_screen_open(&view, fault, sizeof fault) != PASSO_OK) {
        fprintf(stderr, "%s\n", fault);
        return 3;
    }
    while (strcmp(scenes[show_scene_at].name, name) != 0)
        show_scene_at++;
    show_draw(view, &s);
    show_marker("drawn");
    struct passo_press press = {0};
    while (!passo_signals_ending() && press.command != PASSO_COMMAND_QUIT) {
        view->ops->wait(view, 1000000000);
        while (press.command != PASSO_COMMAND_QUIT && view->ops->press(view, 7, &press))
            show_step(view, &s, &press);
    }
    view->ops->close(view);
    return 0;
}

static int show_job(const char *name)
{
    signal(SIGTTOU, SIG_IGN);
    pid_t job = fork();
    if (job == 0) {
        setpgid(0, 0);
        tcsetpgrp(STDIN_FILENO, getpid());
        signal(SIGTTOU, SIG_DFL);
        _exit(show(name));
    }
    int status;
    char byte;
    waitpid(job, &status, WUNTRACED);
    if (!WIFSTOPPED(status))
        return 6;
    tcsetpgrp(STDIN_FILENO, getpgrp());
    show_marker("stopped");
    if (read(STDIN_FILENO, &byte, 1) != 1)
        return 7;
    tcsetpgrp(STDIN_FILENO, job);
    kill(-job, SIGCONT);
    waitpid(job, &status, 0);
    return WEXITSTATUS(status);
}

#endif
