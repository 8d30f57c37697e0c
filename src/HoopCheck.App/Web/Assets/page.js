// Makes the pages quicker to use; each of them works without it too.
'use strict';
document.documentElement.classList.add('js');

function say(form, text) {
  const box = form.querySelector('.busy');
  box.hidden = false;
  box.querySelector('p').textContent = text;
}

function showAnswer(answer) {
  const main = answer && answer.querySelector('main');
  if (!main) { return false; }
  document.querySelector('main').replaceWith(main);
  document.title = answer.title;
  prepare();
  const head = main.querySelector('h1');
  head.tabIndex = -1;
  head.focus();
  return true;
}

function send(form) {
  const bar = form.querySelector('progress');
  const request = new XMLHttpRequest();
  form.classList.add('sending');
  for (const input of form.querySelectorAll('input[type=file]')) { input.tabIndex = -1; }
  bar.removeAttribute('value');
  say(form, 'Sending the photo …');
  request.open('POST', form.action);
  request.responseType = 'document';
  request.upload.onprogress = e => {
    if (e.lengthComputable && e.loaded < e.total) {
      bar.max = e.total;
      bar.value = e.loaded;
    }
  };
  request.upload.onload = () => {
    bar.removeAttribute('value');
    say(form, 'Measuring …');
  };
  request.onload = () => {
    if (request.status === 200 && request.responseURL !== form.action) { location.assign(request.responseURL); return; }
    if (!showAnswer(request.response)) { failed('The answer cannot be read. Load this page again.'); }
  };
  const failed = text => {
    form.classList.remove('sending');
    for (const input of form.querySelectorAll('input[type=file]')) { input.removeAttribute('tabindex'); input.value = ''; }
    bar.hidden = true;
    say(form, text);
  };
  request.onerror = () => failed('The photo did not get through. Is the phone still in the house network, and is the computer on?');
  bar.hidden = false;
  request.send(new FormData(form));
}

function prepare() {
  for (const form of document.querySelectorAll('form.photo')) {
    form.addEventListener('submit', e => { e.preventDefault(); send(form); });
    for (const input of form.querySelectorAll('input[type=file]')) {
      input.addEventListener('change', () => { if (input.files.length > 0) { send(form); } });
    }
  }

  for (const form of document.querySelectorAll('form:not(.photo)')) {
    form.addEventListener('submit', e => {
      if (form.dataset.sent) { e.preventDefault(); return; }
      form.dataset.sent = '1';
      const box = form.querySelector('.busy');
      if (box) { box.hidden = false; }
    });
  }

  // A tap on the picture changes between the photo and the flat view.
  for (const link of document.querySelectorAll('a.switch')) {
    const picture = link.querySelector('img');
    const caption = document.getElementById('caption');
    const views = [
      { src: picture.getAttribute('src'), alt: picture.alt, words: caption.textContent },
      { src: link.getAttribute('href'), alt: link.dataset.alt, words: link.dataset.words },
    ];
    let shown = 0;
    link.setAttribute('role', 'button');
    const turn = () => {
      shown = 1 - shown;
      caption.textContent = 'Drawing …';
      picture.onload = () => { caption.textContent = views[shown].words; };
      picture.onerror = () => { caption.textContent = 'There is no flat view of this photo.'; };
      picture.alt = views[shown].alt;
      picture.src = views[shown].src;
    };
    link.addEventListener('click', e => { e.preventDefault(); turn(); });
    link.addEventListener('keydown', e => { if (e.key === ' ') { e.preventDefault(); turn(); } });
  }
}

// A page that comes back from the browser's memory may be used again.
addEventListener('pageshow', () => { for (const form of document.forms) { delete form.dataset.sent; } });
prepare();
