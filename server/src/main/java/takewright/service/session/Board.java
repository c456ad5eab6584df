package takewright.service.session;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Queue;
import java.util.concurrent.ConcurrentLinkedQueue;
import takewright.library.follow.Follow;
import takewright.library.follow.Judgement;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.decision.Verdict;

/**
 * What a browser shows of a session. The call that follows the session writes it; browsers read it
 * and leave decisions for the call.
 */
final class Board {
  /** Notes shown beside the last one. */
  private static final int RECENT = 6;

  /** Decisions that may wait; a person touches less in a block of audio. */
  private static final int MAX_WAITING = 100;

  private static final ObjectMapper JSON = new ObjectMapper();

  /**
   * A decision from the board: on a note, or on a cell.
   *
   * @param note number of the note; 0 for none
   * @param verdict on the note
   * @param cell place of the cell among those of the take; -1 for none
   * @param isSkipped whether the cell stays empty
   */
  record Touch(int note, Verdict verdict, int cell, boolean isSkipped) {}

  /**
   * Levels since the last block, and how long the take is.
   *
   * @param peakDbfs largest sample of the last blocks, -200 for silence
   * @param roomDbfs level of the room, RMS
   * @param clipped samples at full scale so far
   * @param isLive whether audio arrives
   */
  record Levels(double peakDbfs, double roomDbfs, double elapsedS, long clipped, boolean isLive) {
    /** The same when no audio arrives any more. */
    Levels over() {
      return new Levels(-200, roomDbfs, elapsedS, clipped, false);
    }
  }

  private final Queue<Touch> touches = new ConcurrentLinkedQueue<>();
  private String doubt = "";
  private volatile int version;
  private volatile String state = "null";
  private volatile Levels levels = new Levels(-200, -200, 0, 0, false);

  /** Leaves a decision; false if too many wait. */
  boolean touch(Touch touch) {
    return touches.size() < MAX_WAITING && touches.add(touch);
  }

  /** The next decision that waits, or null. */
  Touch nextTouch() {
    return touches.poll();
  }

  void show(Levels now) {
    levels = now;
  }

  Levels levels() {
    return levels;
  }

  /** Says which plan fits better than the sheet; empty if none does. Shown with what is heard. */
  void doubt(String text) {
    doubt = text;
  }

  /** Shows what was heard. */
  void show(Followed followed, Decided decided) {
    try {
      state = JSON.writeValueAsString(content(followed, decided));
    } catch (JsonProcessingException e) {
      throw new AssertionError("maps, texts and numbers are JSON", e);
    }
    version++;
  }

  /**
   * The board as JSON.
   *
   * @param known the version that the browser has; the state is left out if it is still that
   */
  String json(int known) {
    // The version first: a state that is newer than it is sent once more.
    int now = version;
    Levels level = levels;
    return String.format(
        Locale.ROOT,
        "{\"version\":%d,\"live\":%b,\"peak\":%.1f,\"room\":%.1f,\"clipped\":%d,"
            + "\"elapsed\":%.1f%s}",
        now,
        level.isLive,
        level.peakDbfs,
        level.roomDbfs,
        level.clipped,
        level.elapsedS,
        now == known ? "" : ",\"state\":" + state);
  }

  private Map<String, Object> content(Followed followed, Decided decided) {
    Follow follow = followed.follow();
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("library", followed.sheet().library());
    content.put("take", followed.take().name());
    content.put("articulation", followed.take().articulation());
    content.put("doubt", doubt);
    content.put("cells", cells(followed, decided));
    content.put("missing", follow.missing().size());
    Cell next = follow.next();
    content.put("next", next == null ? null : cell(followed, next));
    List<Follow.Note> notes = follow.notes();
    content.put(
        "notes",
        notes.subList(Math.max(0, notes.size() - RECENT), notes.size()).stream()
            .map(note -> note(followed, decided, note))
            .toList());
    return content;
  }

  private static Map<String, Object> cell(Followed followed, Cell cell) {
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("note", followed.spell(cell.midi()));
    content.put("dynamic", cell.dynamic());
    content.put("rr", cell.rr());
    return content;
  }

  private static List<Object> cells(Followed followed, Decided decided) {
    Map<Cell, Follow.Note> filled = new HashMap<>();
    for (Follow.Note note : followed.follow().notes()) {
      if (note.status() == CellStatus.KEPT) {
        filled.put(note.cell(), note);
      }
    }
    List<Object> cells = new ArrayList<>();
    for (Cell cell : followed.follow().cells()) {
      Map<String, Object> content = cell(followed, cell);
      Follow.Note note = filled.get(cell);
      String state = decided.skipped().contains(cells.size()) ? "skipped" : "missing";
      content.put("state", note == null ? state : word(note.inItsCell()));
      cells.add(content);
    }
    return cells;
  }

  private static String word(Judgement judgement) {
    return judgement.name().toLowerCase(Locale.ROOT);
  }

  private static Map<String, Object> note(Followed followed, Decided decided, Follow.Note note) {
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("number", note.number());
    boolean isPitched = note.region().pitch() != null;
    content.put("note", isPitched ? followed.spell(note.region().pitch().midi()) : "");
    content.put("cents", isPitched ? note.region().pitch().cents() : null);
    content.put("cell", note.cell() == null ? null : cell(followed, note.cell()));
    content.put("verdict", word(note.judgement()));
    content.put("replaced", note.status() == CellStatus.RETAKE);
    content.put("flags", note.flags().stream().map(flag -> flag.meaning()).toList());
    Verdict decision = decided.notes().get(note.number());
    content.put("decided", decision == null ? "" : decision.name().toLowerCase(Locale.ROOT));
    return content;
  }
}
