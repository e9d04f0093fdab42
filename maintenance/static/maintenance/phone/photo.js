/* Makes a photo small and upright on the phone, one after the other, and lets its memory go before the next. */
'use strict';
(() => {
  const fettle = (self.fettle = self.fettle || {});
  const LONGEST = 2000; // px
  const THUMB = 160;
  const QUALITY = 0.82;
  const MOST_PIXELS = 60e6;
  const MOST_BYTES = 15e6; // of one that is left as it is
  const MAY_BE_ONE = /^image\/|\.hei[cf]$/i; // some browsers know no type for those

  /** Width and height, by the file's head alone; null where the browser cannot open it. */
  function look(file) {
    return new Promise((found) => {
      const image = new Image();
      const address = URL.createObjectURL(file);
      const done = (size) => { URL.revokeObjectURL(address); found(size); };
      image.onload = () => done({ width: image.naturalWidth, height: image.naturalHeight });
      image.onerror = () => done(null);
      image.src = address;
    });
  }

  /** As a JPEG no longer than `longest`; a canvas keeps nothing of where it was taken. */
  function drawn(bitmap, longest, quality) {
    const scale = Math.min(1, longest / Math.max(bitmap.width, bitmap.height));
    const canvas = document.createElement('canvas');
    canvas.width = Math.max(1, Math.round(bitmap.width * scale));
    canvas.height = Math.max(1, Math.round(bitmap.height * scale));
    const paper = canvas.getContext('2d');
    paper.fillStyle = '#fff'; // under what is transparent
    paper.fillRect(0, 0, canvas.width, canvas.height);
    paper.imageSmoothingQuality = 'high';
    paper.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    return new Promise((done) => canvas.toBlob((blob) => {
      canvas.width = canvas.height = 0;
      done(blob);
    }, 'image/jpeg', quality));
  }

  async function small(file) {
    const size = await look(file);
    if (!size || size.width * size.height > MOST_PIXELS) return null;
    try {
      const bitmap = await createImageBitmap(file, { imageOrientation: 'from-image' });
      try {
        return { blob: await drawn(bitmap, LONGEST, QUALITY), thumb: await drawn(bitmap, THUMB, 0.7) };
      } finally {
        bitmap.close();
      }
    } catch {
      return null;
    }
  }

  async function sha256(blob) {
    if (!self.crypto || !crypto.subtle) return '';
    const digest = await crypto.subtle.digest('SHA-256', await blob.arrayBuffer());
    return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
  }

  /** The photo as it is to be sent; null for one too big to be left as it is, and for what is no photo. */
  async function made(file) {
    const found = await small(file);
    const blob = (found && found.blob) || file;
    if (blob === file && (file.size > MOST_BYTES || !MAY_BE_ONE.test(file.type || file.name))) return null;
    return { blob, thumb: found && found.thumb, size: blob.size, sha256: await sha256(blob) };
  }

  fettle.photo = { made };
})();
