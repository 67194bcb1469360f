/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "screen_kit.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "driven_clock.h"

#define FRAME_QUIET_MS 10
#define SCROLLS_MAX 12

static struct driven_clock *driven;

static int64_t now_ms(void)
{
    struct timespec ts;

    clock_gettime(CLOCK_MONOTONIC, &ts);
    return (int64_t)ts.tv_sec * 1000 + ts.tv_nsec / 1000000;
}

static void write_all(struct kit *k, const char *bytes, size_t len)
{
    while (len > 0 && !k->is_closed) {
        struct pollfd out = {.fd = k->fd, .events = POLLIN | POLLOUT};
        if (poll(&out, 1, 1000) <= 0)
            return;
        if (out.revents & (POLLIN | POLLHUP))
            kit_pump(k, 0);
        if (out.revents & POLLOUT) {
            ssize_t n = write(k->fd, bytes, len > 512 ? 512 : len);
            if (n < 0)
                return;
            bytes += n;
            len -= (size_t)n;
        }
    }
}

static void to_program(const char *bytes, size_t len, void *user)
{
    write_all(user, bytes, len);
}

static int on_property(VTermProp property, VTermValue *value, void *user)
{
    struct kit *k = user;

    if (property == VTERM_PROP_ALTSCREEN)
        k->is_alternate = value->boolean;
    if (property == VTERM_PROP_CURSORVISIBLE)
        k->is_cursor_visible = value->boolean;
    return 1;
}

static const VTermScreenCallbacks CALLBACKS = {.settermprop = on_property};

static void set_variable(const char *assignment)
{
    char name[256];
    const char *value = strchr(assignment, '=');

    if (value == NULL) {
        unsetenv(assignment);
        return;
    }
    snprintf(name, sizeof name, "%.*s", (int)(value - assignment), assignment);
    setenv(name, value + 1, 1);
}

static void become_program(const struct kit_options *o)
{
    sigset_t none;

    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
    setenv("TERM", o->term != NULL ? o->term : "xterm-256color", 1);
    if (o->term != NULL && o->term[0] == '\0')
        unsetenv("TERM");
    setenv("LC_ALL", o->lc_all != NULL ? o->lc_all : "C.UTF-8", 1);
    unsetenv("LINES"); /* they would win over the terminal's size */
    unsetenv("COLUMNS");
    unsetenv("NO_COLOR");
    for (const char *const *e = o->env; e != NULL && *e != NULL; e++)
        set_variable(*e);
    execv(o->argv[0], (char *const *)(uintptr_t)o->argv);
    _exit(127);
}

static void emulator_open(struct kit *k)
{
    k->vt = vterm_new(k->rows, k->cols);
    vterm_set_utf8(k->vt, 1);
    vterm_output_set_callback(k->vt, to_program, k);
    k->screen = vterm_obtain_screen(k->vt);
    vterm_screen_set_callbacks(k->screen, &CALLBACKS, k);
    vterm_screen_enable_altscreen(k->screen, 1);
    vterm_screen_reset(k->screen, 1);
}

bool kit_start(struct kit *k, const struct kit_options *o)
{
    struct winsize size = {.ws_row = (unsigned short)(o->rows > 0 ? o->rows : 24),
                           .ws_col = (unsigned short)(o->cols > 0 ? o->cols : 80)};

    *k = (struct kit){.rows = size.ws_row, .cols = size.ws_col, .is_cursor_visible = true};
    fflush(NULL);
    k->pid = forkpty(&k->fd, NULL, NULL, &size);
    if (k->pid < 0)
        return false;
    if (k->pid == 0)
        become_program(o);
    fcntl(k->fd, F_SETFD, FD_CLOEXEC); /* or a second program would keep the first one's terminal open */
    emulator_open(k);
    return true;
}

bool kit_pump(struct kit *k, int ms)
{
    struct pollfd in = {.fd = k->fd, .events = POLLIN};
    char bytes[65536];
    ssize_t n;

    if (k->is_closed)
        return false;
    if (poll(&in, 1, ms) <= 0)
        return true;
    n = read(k->fd, bytes, sizeof bytes);
    if (n > 0)
        vterm_input_write(k->vt, bytes, (size_t)n);
    else if (n == 0 || errno != EINTR)
        k->is_closed = true;
    return !k->is_closed;
}

void kit_settle(struct kit *k, int quiet_ms)
{
    struct pollfd in = {.fd = k->fd, .events = POLLIN};

    while (!k->is_closed && poll(&in, 1, quiet_ms) > 0 && kit_pump(k, 0)) {
    }
}

void kit_row(struct kit *k, int row, char *out, size_t cap)
{
    VTermRect where = {.start_row = row, .end_row = row + 1, .start_col = 0, .end_col = k->cols};
    size_t n = vterm_screen_get_text(k->screen, out, cap - 1, where);

    while (n > 0 && (out[n - 1] == ' ' || out[n - 1] == '\n'))
        n--;
    out[n] = '\0';
}

bool kit_find(struct kit *k, const char *text, int *row)
{
    char line[4096];

    for (int i = 0; i < k->rows; i++) {
        kit_row(k, i, line, sizeof line);
        if (strstr(line, text) != NULL) {
            if (row != NULL)
                *row = i;
            return true;
        }
    }
    return false;
}

bool kit_has(struct kit *k, const char *text)
{
    return kit_find(k, text, NULL);
}

static bool wait_for(struct kit *k, const char *text, bool is_wanted, int timeout_ms)
{
    int64_t end = now_ms() + timeout_ms;

    while (kit_has(k, text) != is_wanted) {
        if (now_ms() > end)
            return false;
        if (!kit_pump(k, 20))
            return kit_has(k, text) == is_wanted;
    }
    kit_settle(k, FRAME_QUIET_MS); /* a frame can come in several reads */
    return kit_has(k, text) == is_wanted;
}

bool kit_wait(struct kit *k, const char *text, int timeout_ms)
{
    return wait_for(k, text, true, timeout_ms);
}

bool kit_wait_gone(struct kit *k, const char *text, int timeout_ms)
{
    return wait_for(k, text, false, timeout_ms);
}

bool kit_sync(struct kit *k)
{
    int64_t end = now_ms() + KIT_WAIT_MS, first = driven != NULL ? atomic_load(&driven->slices) : 0;

    if (driven == NULL)
        return false;
    /* One slice may have been under way; two more without input mean that all was taken in and drawn. */
    while (atomic_load(&driven->slices) < first + 2) {
        if (now_ms() > end || !kit_pump(k, 1))
            return false;
    }
    kit_settle(k, 0);
    return true;
}

const char *kit_screen(struct kit *k)
{
    static char text[262144];
    size_t used = 0;

    for (int row = 0; row < k->rows && used + 4096 < sizeof text; row++) {
        kit_row(k, row, text + used, 4096);
        used += strlen(text + used);
        text[used++] = '\n';
    }
    text[used] = '\0';
    return text;
}

static bool page_on(struct kit *k, enum kit_key key, const char *while_there)
{
    if (strstr(kit_screen(k), while_there) == NULL)
        return false;
    kit_press(k, key);
    k->keystrokes--; /* only looked round */
    kit_sync(k);
    return true;
}

const char *kit_all_parts(struct kit *k)
{
    static char all[262144];
    int ups = 0, downs = 0;

    snprintf(all, sizeof all, "%s", kit_screen(k));
    while (ups < SCROLLS_MAX && page_on(k, KIT_PAGE_UP, "(more above)"))
        ups++;
    do
        snprintf(all + strlen(all), sizeof all - strlen(all), "%s", kit_screen(k));
    while (downs++ < SCROLLS_MAX && page_on(k, KIT_PAGE_DOWN, "(more below)"));
    for (int i = ups + 1; i < downs; i++)
        page_on(k, KIT_PAGE_UP, "(more above)");
    return all;
}

bool kit_cell(struct kit *k, int row, int col, VTermScreenCell *out)
{
    VTermPos at = {.row = row, .col = col};

    return vterm_screen_get_cell(k->screen, at, out) != 0;
}

void kit_type(struct kit *k, const char *utf8)
{
    for (const char *s = utf8; *s != '\0'; s++)
        k->keystrokes += ((unsigned char)*s & 0xC0) != 0x80;
    write_all(k, utf8, strlen(utf8));
}

void kit_press(struct kit *k, enum kit_key key)
{
    static const VTermKey KEYS[] = {[KIT_ENTER] = VTERM_KEY_ENTER,         [KIT_ESCAPE] = VTERM_KEY_ESCAPE,
                                    [KIT_BACKSPACE] = VTERM_KEY_BACKSPACE, [KIT_UP] = VTERM_KEY_UP,
                                    [KIT_DOWN] = VTERM_KEY_DOWN,           [KIT_LEFT] = VTERM_KEY_LEFT,
                                    [KIT_RIGHT] = VTERM_KEY_RIGHT,         [KIT_TAB] = VTERM_KEY_TAB,
                                    [KIT_PAGE_DOWN] = VTERM_KEY_PAGEDOWN,  [KIT_PAGE_UP] = VTERM_KEY_PAGEUP};

    k->keystrokes++;
    vterm_keyboard_key(k->vt, KEYS[key], VTERM_MOD_NONE);
}

void kit_paste(struct kit *k, const char *bytes, size_t len)
{
    write_all(k, bytes, len);
}

/* libvterm 0.1.4 crashes after some changes of size on the alternate screen (and on wide characters in one
 * column). A new emulator takes over instead, put into the modes of the old one; a program must draw all of
 * its page after a change of size anyway. */
void kit_resize(struct kit *k, int rows, int cols)
{
    static const char MODES[] = "\x1b[?1049h\x1b[?1h\x1b[?25l";
    struct winsize size = {.ws_row = (unsigned short)rows, .ws_col = (unsigned short)cols};
    bool is_alternate = k->is_alternate;

    kit_settle(k, 0);
    vterm_free(k->vt);
    k->rows = rows;
    k->cols = cols;
    emulator_open(k);
    if (is_alternate)
        vterm_input_write(k->vt, MODES, sizeof MODES - 1);
    ioctl(k->fd, TIOCSWINSZ, &size);
}

void kit_signal(struct kit *k, int number)
{
    kill(k->pid, number);
}

void kit_hang_up(struct kit *k)
{
    close(k->fd);
    k->fd = -1;
    k->is_closed = true;
}

int kit_stop(struct kit *k, int timeout_ms)
{
    int64_t end = now_ms() + timeout_ms;
    int status = 0, result = -1;
    bool is_ended = false;

    while (!is_ended && now_ms() < end) {
        kit_pump(k, 10);
        is_ended = waitpid(k->pid, &status, WNOHANG) == k->pid;
        if (!is_ended && k->is_closed)
            usleep(1000);
    }
    if (is_ended)
        result = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    else {
        kill(k->pid, SIGKILL);
        waitpid(k->pid, &status, 0);
    }
    if (k->fd >= 0) {
        kit_settle(k, 0); /* its last words */
        close(k->fd);
    }
    vterm_free(k->vt);
    *k = (struct kit){.fd = -1,
                      .is_closed = true,
                      .is_alternate = k->is_alternate,
                      .keystrokes = k->keystrokes,
                      .is_cursor_visible = k->is_cursor_visible};
    return result;
}

bool clock_create(const char *path)
{
    int fd = open(path, O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    void *at;

    if (fd < 0)
        return false;
    at = ftruncate(fd, sizeof *driven) == 0
             ? mmap(NULL, sizeof *driven, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0)
             : MAP_FAILED;
    close(fd);
    if (at == MAP_FAILED)
        return false;
    if (driven != NULL)
        munmap(driven, sizeof *driven);
    driven = at;
    atomic_store(&driven->boot_ms, 1000000);
    atomic_store(&driven->awake_ms, 1000000);
    atomic_store(&driven->unix_ms, INT64_C(1930226400000));
    setenv(DRIVEN_CLOCK_VARIABLE, path, 1);
    return true;
}

void clock_advance(int64_t ms)
{
    /* The boot clock last: it is what a waiting program looks at. */
    atomic_fetch_add(&driven->awake_ms, ms);
    atomic_fetch_add(&driven->unix_ms, ms);
    atomic_fetch_add(&driven->boot_ms, ms);
}

void clock_suspend(int64_t ms)
{
    atomic_fetch_add(&driven->unix_ms, ms);
    atomic_fetch_add(&driven->boot_ms, ms);
}

void clock_set_back(int64_t ms)
{
    atomic_fetch_sub(&driven->unix_ms, ms);
}
