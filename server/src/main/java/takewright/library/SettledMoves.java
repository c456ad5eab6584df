package takewright.library;

import com.fasterxml.jackson.core.type.TypeReference;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.CheckedFile;
import takewright.level.NoteGain;
import takewright.level.Played;

/**
 * How far the last finished build moved the level and the pitch of each region. All regions share
 * one level curve, so that a decision about one moves the others by hundredths of a decibel; a
 * region that is itself as it was keeps its move while the new one differs by less than anybody
 * hears. So a decision makes one note again and not the library.
 */
final class SettledMoves {
  /** Nobody hears a difference of level below this, in dB: a fifth of what is heard at best. */
  static final double SAME_DB = 0.1;

  /** Nor one of pitch below this, in cents. From memory: trained listeners hear 3 cents or more. */
  static final double SAME_CENTS = 0.5;

  /** A region is as it was where its level is the same within this, in dB. */
  private static final double UNCHANGED_DB = 0.005;

  private final Path file;
  private final Map<String, Move> last = new HashMap<>();
  private final List<Move> now = new ArrayList<>();

  /**
   * How one region is moved.
   *
   * @param id of the region
   * @param sample the name of its sample in the main layer
   * @param played how loud it was played; null if levels are left alone
   * @param gain what its level is moved by; null if levels are left alone
   * @param leanCents what its neighbours add to how far it is heard to be off, in cents
   */
  record Move(String id, String sample, Played played, NoteGain gain, double leanCents) {
    private boolean isSameSound(Move other) {
      if (played == null || other.played == null) {
        return played == other.played && sample.equals(other.sample);
      }
      return sample.equals(other.sample)
          && isNear(played.levelLufs(), other.played.levelLufs(), UNCHANGED_DB)
          && isNear(played.peakDbtp(), other.played.peakDbtp(), UNCHANGED_DB);
    }

    private boolean hasNearGain(Move other) {
      return gain != null
          && other.gain != null
          && gain.limited() == other.gain.limited()
          && isNear(gain.gainDb(), other.gain.gainDb(), SAME_DB);
    }

    private static boolean isNear(double a, double b, double reach) {
      return Double.compare(a, b) == 0 || Math.abs(a - b) < reach;
    }
  }

  /** The moves of the last build, if their file is there and whole. */
  SettledMoves(Path file) {
    this.file = file;
    if (!Files.exists(file)) {
      return;
    }
    try {
      List<Move> read =
          JsonMapper.builder()
              .build()
              .readValue(CheckedFile.content(file), new TypeReference<List<Move>>() {});
      read.forEach(move -> last.put(move.id(), move));
    } catch (IOException e) {
      // Without them more is made again.
      last.clear();
    }
  }

  /** The move of a region: the last one, where the new one differs by less than anybody hears. */
  Move settle(Move found) {
    Move before = last.get(found.id());
    Move settled = found;
    if (before != null && before.isSameSound(found)) {
      NoteGain gain = found.hasNearGain(before) ? before.gain() : found.gain();
      boolean isNear = Move.isNear(found.leanCents(), before.leanCents(), SAME_CENTS);
      double lean = isNear ? before.leanCents() : found.leanCents();
      settled = new Move(found.id(), found.sample(), found.played(), gain, lean);
    }
    now.add(settled);
    return settled;
  }

  /** Keeps the moves for the next build. */
  void write() throws IOException {
    AtomicFile.replace(file, JsonMapper.builder().build().writeValueAsBytes(now));
  }
}
