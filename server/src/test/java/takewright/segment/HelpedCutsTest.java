package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.Predicate;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;
import takewright.segment.ahead.Ahead;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

class HelpedCutsTest {
  private static Clip take() {
    List<Recordings.Note> all = Recordings.of("violin");
    TakeBuilder take = new TakeBuilder(all.get(0).read(0.1).sampleRate(), 11).pause(2);
    for (int i = 0; i < all.size(); i += 6) {
      Recordings.Note note = all.get(i);
      take.sound("note", note.midi(), TakeBuilder.faded(note.read(3)), -10, -62).pause();
      take.sound("talk", -1, take.talk(), -20, -62).pause();
    }
    return take.build(-62);
  }

  private static Segmentation cut(Clip take, Kind kind, Predicate<Runnable> helper)
      throws IOException {
    return Segment.apply(take.source(), SegmentSettings.forKind(kind), region -> {}, helper);
  }

  /** Another thread, one that comes at once, one that never comes, and one that comes sometimes. */
  @Test
  void theCutsAreTheSameWhoeverDoesTheWork() throws IOException {
    Clip take = take();
    AtomicInteger asked = new AtomicInteger();
    ExecutorService thread = Executors.newSingleThreadExecutor();
    try {
      List<Predicate<Runnable>> helpers =
          List.of(
              work -> {
                thread.execute(work);
                return true;
              },
              work -> {
                work.run();
                return true;
              },
              work -> true,
              work -> {
                boolean comes = asked.incrementAndGet() % 3 == 0;
                if (comes) {
                  thread.execute(work);
                }
                return comes;
              });
      for (Kind kind : new Kind[] {null, Kind.PITCHED, Kind.UNPITCHED}) {
        Segmentation alone = cut(take, kind, Ahead.NOBODY);
        assertTrue(alone.regions().size() > 4, alone.regions()::toString);
        for (Predicate<Runnable> helper : helpers) {
          Segmentation helped = cut(take, kind, helper);
          assertEquals(alone.regions(), helped.regions());
          assertEquals(alone.roomTone(), helped.roomTone());
        }
      }
    } finally {
      thread.shutdown();
    }
  }

  @Test
  void anotherThreadDoesMuchOfTheWork() throws IOException {
    Clip take = take();
    AtomicInteger asked = new AtomicInteger();
    cut(
        take,
        null,
        work -> {
          asked.incrementAndGet();
          work.run();
          return true;
        });
    // Once for three blocks of eight columns, or of a few windows of pitch.
    assertTrue(asked.get() > take.frames() / 24_576, "asked " + asked.get() + " times");
  }
}
