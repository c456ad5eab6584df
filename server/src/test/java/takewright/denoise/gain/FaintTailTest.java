package takewright.denoise.gain;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Tails in spectra of 4 blocks. */
class FaintTailTest {
  private static final int BLOCKS = 4;

  private final FaintTail tail = new FaintTail(BLOCKS);

  private void next(int block, boolean plain) {
    byte[] near = new byte[BLOCKS];
    near[block] = 1;
    tail.next(near, plain);
  }

  @ParameterizedTest
  @ValueSource(ints = {0, 1, BLOCKS - 1})
  void aTailGoesOnWhereItWas(int block) {
    next(block, true);
    for (int i = 1; i <= 6; i++) {
      next(block, false);
      assertEquals(i, tail.faintFrames());
      assertEquals(0, tail.overFrames());
    }
  }

  @Test
  void aTailMayMoveToTheBlockBesideIt() {
    next(BLOCKS - 2, true);
    next(BLOCKS - 1, false);
    assertEquals(0, tail.overFrames());
  }

  @ParameterizedTest
  @ValueSource(ints = {2, BLOCKS - 1})
  void whatComesUpElsewhereIsNoTail(int block) {
    next(0, true);
    next(0, false);
    next(block, false);
    next(block, false);
    assertEquals(3, tail.faintFrames());
    assertEquals(2, tail.overFrames());
    next(0, true);
    assertEquals(0, tail.faintFrames());
    assertEquals(0, tail.overFrames());
  }

  @Test
  void beforeTheFirstNoteThereIsNoTail() {
    next(0, true);
    next(2, false);
    tail.reset();
    next(2, false);
    assertEquals(0, tail.faintFrames());
    assertEquals(0, tail.overFrames());
  }
}
