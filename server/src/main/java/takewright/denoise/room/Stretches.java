package takewright.denoise.room;

import java.util.ArrayList;
import java.util.List;
import takewright.audio.Clip;
import takewright.denoise.room.RoomLearner.KeptAudio;

/** Stretches of room tone, some of them for the whole of a take: of neighbours the quieter stay. */
final class Stretches {
  /** Stretches of a second that are kept at most. */
  private static final int MAX = 32;

  /** Frames of the STFT that a stretch has at least, or it is cut out of. */
  private static final int MIN_FRAMES = 2;

  private List<KeptAudio> kept = new ArrayList<>();

  /** Stretches that one of them stands for, and those seen of the next. */
  private int every = 1;

  private int seen;

  void add(KeptAudio stretch) {
    int last = kept.size() - 1;
    if (seen % every == 0) {
      kept.add(stretch);
    } else if (stretch.level() < kept.get(last).level()) {
      kept.set(last, stretch);
    }
    seen++;
    if (kept.size() > MAX) {
      halve();
    }
  }

  private void halve() {
    List<KeptAudio> half = new ArrayList<>();
    for (int i = 0; i < kept.size(); i += 2) {
      KeptAudio a = kept.get(i);
      KeptAudio b = i + 1 < kept.size() ? kept.get(i + 1) : a;
      half.add(a.level() <= b.level() ? a : b);
    }
    kept = half;
    every *= 2;
  }

  /** Cuts everything out that is no pause. */
  void keepOnly(FrameLevels frames, boolean[] pause, int size, long hop) {
    List<KeptAudio> only = new ArrayList<>();
    int i = 0;
    for (KeptAudio stretch : kept) {
      long end = stretch.start() + stretch.audio().frames();
      while (i < pause.length && frames.at(i) - size / 2 < stretch.start()) {
        i++;
      }
      for (int from = i; from < pause.length && frames.at(from) + size / 2 <= end; ) {
        int to = from;
        while (to < pause.length && pause[to] && frames.at(to) + size / 2 <= end) {
          to++;
        }
        if (to - from >= MIN_FRAMES) {
          int first = (int) (frames.at(from) - size / 2 - stretch.start());
          int last = (int) (frames.at(to - 1) + size / 2 - stretch.start());
          Clip clip = stretch.audio().slice(first, last);
          only.add(new KeptAudio(clip, stretch.start() + first, stretch.level()));
        }
        from = Math.max(from + 1, to);
      }
    }
    kept = only;
  }

  List<KeptAudio> all() {
    return kept;
  }
}
