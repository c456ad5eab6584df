package takewright.service.work;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.concurrent.atomic.AtomicLong;
import org.junit.jupiter.api.Test;

class PlacesTest {
  private final AtomicLong now = new AtomicLong(-7);
  private final Places places = new Places(1, now::get);

  @Test
  void aCallSeesThatAnotherWasRefusedAPlaceLikeItsOwn() {
    Places others = new Places(1, now::get);
    assertTrue(places.tryTake());
    places.run(() -> assertFalse(Places.refusedSince(-100)));
    assertFalse(places.tryTake());
    places.run(
        () -> {
          assertTrue(Places.refusedSince(-8));
          assertFalse(Places.refusedSince(-7), "not since then");
        });
    others.run(() -> assertFalse(Places.refusedSince(-100), "places of another priority"));
    assertFalse(Places.refusedSince(-100), "a thread without a call");
  }

  @Test
  void aPlaceThatWasGivenBackIsFree() {
    assertTrue(places.tryTake());
    places.giveBack();
    assertTrue(places.tryTake());
  }
}
